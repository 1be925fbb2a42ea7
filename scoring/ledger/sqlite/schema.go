package sqlite

// applicationID stands in the header of every ledger file (PRAGMA
// application_id), so that a database of another program is told apart.
const applicationID = 0x74656c6c // "tell"

// schema lists the steps from an empty file to the present form, in order and
// append only: step i makes version i+1 (PRAGMA user_version) of version i. A step
// that has been released is never edited.
var schema = []string{
	// 1: answers, only ever added. Times are integers in ms: since 1970-01-01 UTC
	// for at_ms. Lists are JSON arrays, in their order.
	`
CREATE TABLE answers (
	seq          INTEGER PRIMARY KEY, -- order of arrival in this file
	id           TEXT NOT NULL UNIQUE,
	presentation TEXT NOT NULL,
	learner      TEXT NOT NULL,
	at_ms        INTEGER NOT NULL,
	mode         TEXT NOT NULL,
	strip        TEXT NOT NULL,
	subject      TEXT NOT NULL,
	state        TEXT NOT NULL,
	question     TEXT NOT NULL,
	offered      TEXT NOT NULL,
	chosen       TEXT NOT NULL,
	right_answers TEXT NOT NULL,
	correct      INTEGER NOT NULL CHECK (correct IN (0, 1)),
	verdict      TEXT NOT NULL,
	sure         TEXT NOT NULL,
	looked       TEXT NOT NULL,
	took_ms      INTEGER NOT NULL
) STRICT;
CREATE INDEX answers_by_time ON answers (at_ms, id);
CREATE INDEX answers_by_learner ON answers (learner, at_ms, id);
CREATE INDEX answers_by_subject ON answers (learner, subject, at_ms, id);
CREATE TRIGGER answers_stay BEFORE UPDATE ON answers
BEGIN SELECT RAISE(ABORT, 'answers are only ever added'); END;
CREATE TRIGGER answers_are_kept BEFORE DELETE ON answers
BEGIN SELECT RAISE(ABORT, 'answers are only ever added'); END;
`,
	// 2: what an answer was part of, and the class the learner sat with.
	`
ALTER TABLE answers ADD COLUMN part TEXT NOT NULL DEFAULT '';
ALTER TABLE answers ADD COLUMN class TEXT NOT NULL DEFAULT '';
CREATE INDEX answers_by_class ON answers (class, at_ms, id) WHERE class <> '';
CREATE INDEX answers_by_part ON answers (part, at_ms, id) WHERE part <> '';
`,
}

// columns are the columns of an answer, in the order values and scan use.
const columns = `id, presentation, learner, at_ms, mode, strip, subject, state, question,
	offered, chosen, right_answers, correct, verdict, sure, looked, took_ms, part, class`
