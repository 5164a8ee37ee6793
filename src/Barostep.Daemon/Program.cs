Console.WriteLine("barostep");
