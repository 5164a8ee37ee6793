PRAGMA application_id = 1113682543;
PRAGMA user_version = 1;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE devices (
    id INTEGER PRIMARY KEY,
    manufacturer TEXT NOT NULL,
    model TEXT NOT NULL,
    serial_number TEXT NOT NULL,
    definition TEXT NOT NULL UNIQUE
) STRICT;
INSERT INTO devices VALUES(1,'Workshop stock','PT-16','DH-0417','{"name":"return-line-transmitter","title":"Return line pressure transmitter","manufacturer":"Workshop stock","model":"PT-16","serialNumber":"DH-0417","tag":"PT-204","rangeFrom":{"value":0,"unit":"bar","reference":"gauge"},"rangeTo":{"value":10.0,"unit":"bar","reference":"gauge"},"rating":{"value":20,"unit":"bar","reference":"gauge"},"floor":{"value":-1,"unit":"bar","reference":"gauge"},"toleranceOfSpan":0.005,"output":"current","outputFrom":0.004,"outputTo":0.02}');
CREATE TABLE runs (
    number INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    started_utc TEXT NOT NULL,
    bench TEXT NOT NULL,
    device INTEGER NOT NULL REFERENCES devices (id),
    procedure_name TEXT NOT NULL,
    procedure TEXT NOT NULL,
    instruments TEXT NOT NULL,
    ceiling_pa REAL NOT NULL,
    atmosphere_pa REAL NOT NULL,
    simulated INTEGER NOT NULL CHECK (simulated IN (0, 1)),
    software_version TEXT NOT NULL
) STRICT;
INSERT INTO runs VALUES(1,'0198c0de-0000-7000-8000-000000000001','2026-03-29T00:59:59.25Z','heating-workshop',1,'six-up-six-down','{"name":"six-up-six-down","title":"Six points up and down","pointsOfSpan":[0,0.5,1],"descending":true,"cycles":1,"preloads":2,"preloadHoldMicros":10000000,"readZero":true,"rateOfSpanPerSecond":0.05,"settle":{"bandOfSpan":0.001,"windowMicros":5000000,"slopeOfSpanPerSecond":1E-05,"minimumDwellMicros":10000000,"timeoutMicros":120000000,"onTimeout":"flag"},"samples":2,"sampleIntervalMicros":500000,"overshootOfSpan":0.002,"onOvershoot":"again"}','{"reference":"REFERENCE,R-16,204,3.0","source":"PRESSURE SOURCE,S-1,17,1.2"}',1300000.0,101325.0,1,'0.1.0');
INSERT INTO runs VALUES(2,'0198c0de-0001-7000-8000-000000000002','2026-03-30T00:59:59.25Z','heating-workshop',1,'six-up-six-down','{"name":"six-up-six-down","title":"Six points up and down","pointsOfSpan":[0,0.5,1],"descending":true,"cycles":1,"preloads":2,"preloadHoldMicros":10000000,"readZero":true,"rateOfSpanPerSecond":0.05,"settle":{"bandOfSpan":0.001,"windowMicros":5000000,"slopeOfSpanPerSecond":1E-05,"minimumDwellMicros":10000000,"timeoutMicros":120000000,"onTimeout":"flag"},"samples":2,"sampleIntervalMicros":500000,"overshootOfSpan":0.002,"onOvershoot":"again"}','{"reference":"REFERENCE,R-16,204,3.0","source":"PRESSURE SOURCE,S-1,17,1.2"}',1300000.0,101325.0,1,'0.1.0');
CREATE TABLE zeros (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES runs (number),
    before_series INTEGER NOT NULL CHECK (before_series IN (0, 1))
) STRICT;
INSERT INTO zeros VALUES(1,1,1);
INSERT INTO zeros VALUES(2,1,0);
CREATE TABLE points (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES runs (number),
    point INTEGER NOT NULL,
    cycle INTEGER NOT NULL,
    direction TEXT NOT NULL CHECK (direction IN ('ascending', 'descending')),
    nominal_pa REAL NOT NULL,
    requested_us INTEGER NOT NULL,
    reached_us INTEGER NOT NULL,
    settled_us INTEGER NOT NULL,
    marks INTEGER NOT NULL,
    UNIQUE (run, point)
) STRICT;
INSERT INTO points VALUES(1,1,1,1,'ascending',0.0,20000000,40000000,60000000,0);
INSERT INTO points VALUES(2,1,2,1,'ascending',500000.0,80000000,100000000,120000000,0);
INSERT INTO points VALUES(3,1,3,1,'ascending',1000000.0,140000000,160000000,180000000,0);
INSERT INTO points VALUES(4,1,4,1,'descending',1000000.0,200000000,220000000,240000000,0);
INSERT INTO points VALUES(5,1,5,1,'descending',500000.0,260000000,280000000,300000000,0);
INSERT INTO points VALUES(6,1,6,1,'descending',0.0,320000000,340000000,360000000,0);
INSERT INTO points VALUES(7,2,1,1,'ascending',0.0,20000000,40000000,60000000,0);
CREATE TABLE samples (
    id INTEGER PRIMARY KEY,
    point INTEGER REFERENCES points (id),
    zero INTEGER REFERENCES zeros (id),
    reference REAL NOT NULL,
    reference_raw TEXT NOT NULL,
    reference_asked_us INTEGER NOT NULL,
    reference_answered_us INTEGER NOT NULL,
    indication REAL NOT NULL,
    indication_raw TEXT NOT NULL,
    indication_asked_us INTEGER NOT NULL,
    indication_answered_us INTEGER NOT NULL,
    void INTEGER NOT NULL CHECK (void IN (0, 1)),
    CHECK ((point IS NULL) <> (zero IS NULL))
) STRICT;
INSERT INTO samples VALUES(1,NULL,1,0.0,'0.000000E+000',0,20000,0.0040000000000000000832,'4.000000E-003',0,20000,0);
INSERT INTO samples VALUES(2,NULL,2,0.0,'0.000000E+000',0,20000,0.004003200000000000161,'4.003200E-003',0,20000,0);
INSERT INTO samples VALUES(3,1,NULL,0.0,'0.000000E+000',60000000,60020000,0.0040319999999999999937,'4.032000E-003',60000000,60020000,0);
INSERT INTO samples VALUES(4,1,NULL,0.0,'0.000000E+000',60500000,60520000,0.0040319999999999999937,'4.032000E-003',60500000,60520000,0);
INSERT INTO samples VALUES(5,2,NULL,500000.0,'5.000000E+005',120000000,120020000,0.012003999999999999045,'1.200400E-002',120000000,120020000,0);
INSERT INTO samples VALUES(6,2,NULL,500000.0,'5.000000E+005',120500000,120520000,0.012003999999999999045,'1.200400E-002',120500000,120520000,0);
INSERT INTO samples VALUES(7,3,NULL,1000000.0,'1.000000E+006',180000000,180020000,0.0199760000000000007,'1.997600E-002',180000000,180020000,0);
INSERT INTO samples VALUES(8,3,NULL,1000000.0,'1.000000E+006',180500000,180520000,0.0199760000000000007,'1.997600E-002',180500000,180520000,0);
INSERT INTO samples VALUES(9,4,NULL,1000000.0,'1.000000E+006',240000000,240020000,0.0199760000000000007,'1.997600E-002',240000000,240020000,0);
INSERT INTO samples VALUES(10,4,NULL,1000000.0,'1.000000E+006',240500000,240520000,0.0199760000000000007,'1.997600E-002',240500000,240520000,0);
INSERT INTO samples VALUES(11,5,NULL,500000.0,'5.000000E+005',300000000,300020000,0.012003999999999999045,'1.200400E-002',300000000,300020000,0);
INSERT INTO samples VALUES(12,5,NULL,500000.0,'5.000000E+005',300500000,300520000,0.012003999999999999045,'1.200400E-002',300500000,300520000,0);
INSERT INTO samples VALUES(13,6,NULL,0.0,'0.000000E+000',360000000,360020000,0.0040319999999999999937,'4.032000E-003',360000000,360020000,0);
INSERT INTO samples VALUES(14,6,NULL,0.0,'0.000000E+000',360500000,360520000,0.0040319999999999999937,'4.032000E-003',360500000,360520000,0);
INSERT INTO samples VALUES(15,7,NULL,0.0,'0.000000E+000',60000000,60020000,0.0040319999999999999937,'4.032000E-003',60000000,60020000,0);
INSERT INTO samples VALUES(16,7,NULL,0.0,'0.000000E+000',60500000,60520000,0.0040319999999999999937,'4.032000E-003',60500000,60520000,0);
CREATE TABLE endings (
    run INTEGER PRIMARY KEY REFERENCES runs (number),
    ended_utc TEXT NOT NULL,
    outcome TEXT NOT NULL,
    outcome_reason TEXT NOT NULL,
    vent_confirmed INTEGER NOT NULL CHECK (vent_confirmed IN (0, 1)),
    highest_pa REAL NOT NULL,
    journal_head TEXT NOT NULL
) STRICT;
INSERT INTO endings VALUES(1,'2026-03-29T01:12:00Z','completed','',1,1102000.0,'00ff');
CREATE TABLE results (
    run INTEGER PRIMARY KEY REFERENCES endings (run),
    verdict TEXT NOT NULL CHECK (verdict IN ('passed', 'failed', 'notDecided')),
    largest_error_of_span REAL,
    zero_error_of_span REAL,
    span_error_of_span REAL
) STRICT;
INSERT INTO results VALUES(1,'passed',0.0019999999999999944037,0.0019999999999999952711,-0.003499999999999994435);
CREATE INDEX devices_by_serial ON devices (serial_number, model, manufacturer);
CREATE INDEX runs_by_start ON runs (started_utc);
CREATE INDEX runs_by_device ON runs (device);
CREATE INDEX zeros_by_run ON zeros (run);
CREATE INDEX samples_by_point ON samples (point) WHERE point IS NOT NULL;
CREATE INDEX samples_by_zero ON samples (zero) WHERE zero IS NOT NULL;
CREATE TRIGGER devices_stay BEFORE UPDATE ON devices BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
CREATE TRIGGER devices_keep BEFORE DELETE ON devices BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER runs_stay BEFORE UPDATE ON runs BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
CREATE TRIGGER runs_keep BEFORE DELETE ON runs BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER zeros_stay BEFORE UPDATE ON zeros BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
CREATE TRIGGER zeros_keep BEFORE DELETE ON zeros BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER points_stay BEFORE UPDATE ON points BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
CREATE TRIGGER points_keep BEFORE DELETE ON points BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER samples_stay BEFORE UPDATE ON samples BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
CREATE TRIGGER samples_keep BEFORE DELETE ON samples BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER endings_stay BEFORE UPDATE ON endings BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
CREATE TRIGGER endings_keep BEFORE DELETE ON endings BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER results_stay BEFORE UPDATE ON results BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;
CREATE TRIGGER results_keep BEFORE DELETE ON results BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
CREATE TRIGGER points_before_end BEFORE INSERT ON points
WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;
CREATE TRIGGER zeros_before_end BEFORE INSERT ON zeros
WHEN EXISTS (SELECT 1 FROM endings WHERE endings.run = NEW.run)
BEGIN SELECT RAISE(ABORT, 'the run has ended'); END;
COMMIT;
