Console.WriteLine("barostep-bench");
