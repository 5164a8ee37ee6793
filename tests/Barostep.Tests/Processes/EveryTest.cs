// Tests of several areas start the same programs.
global using Barostep.Tests.Processes;
