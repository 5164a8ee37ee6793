namespace Barostep.Records.Schema;

/// <summary>What people were asked in a run, and what they answered.</summary>
internal static class AnswerTables
{
    public static readonly string Step = """
        CREATE TABLE answers (
            id INTEGER PRIMARY KEY,
            run INTEGER NOT NULL REFERENCES runs (number),
            prompt INTEGER NOT NULL,
            kind TEXT NOT NULL,
            point INTEGER NOT NULL,
            asked TEXT NOT NULL,
            asked_us INTEGER NOT NULL,
            answer TEXT NOT NULL,
            who TEXT NOT NULL,
            answered_us INTEGER NOT NULL,
            reference_pa REAL,
            indication_pa REAL
        ) STRICT;

        CREATE INDEX answers_of_run ON answers (run);

        CREATE TRIGGER answers_before_end BEFORE INSERT ON answers
        WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
        BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;

        """ + string.Concat(AppendOnly.Guards(("answers", ["id"]))) + string.Concat(AppendOnly.NoReplacement(("answers", ["run", "prompt"])));
}
