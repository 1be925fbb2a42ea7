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
	// 3: what each learner's answers about each entry come to (ledger.Sum), kept by a
	// trigger, and the last answer that is in it. The index holds all that a sum needs.
	`
DROP INDEX answers_by_subject;
CREATE INDEX answers_by_subject ON answers (learner, subject, at_ms, id, mode, question, correct, verdict, sure, took_ms);
CREATE TABLE sums (
	learner        TEXT NOT NULL,
	subject        TEXT NOT NULL,
	named          INTEGER NOT NULL,
	named_right    INTEGER NOT NULL,
	named_critical INTEGER NOT NULL,
	took_ms        INTEGER NOT NULL,
	last_ms        INTEGER NOT NULL, -- -4611686018427387904 when nothing was named
	sure_wrong     INTEGER NOT NULL,
	acted          INTEGER NOT NULL,
	acted_right    INTEGER NOT NULL,
	acted_critical INTEGER NOT NULL,
	steps          INTEGER NOT NULL,
	steps_right    INTEGER NOT NULL,
	steps_critical INTEGER NOT NULL,
	PRIMARY KEY (learner, subject)
) STRICT, WITHOUT ROWID;
CREATE TABLE summed (answers INTEGER NOT NULL) STRICT;
CREATE TRIGGER answers_are_summed AFTER INSERT ON answers
BEGIN
	INSERT INTO sums SELECT NEW.learner, NEW.subject,
		NEW.question = 'rhythm',
		NEW.question = 'rhythm' AND NEW.correct,
		NEW.question = 'rhythm' AND NEW.verdict = 'critical',
		iif(NEW.question = 'rhythm' AND NEW.correct, NEW.took_ms, 0),
		iif(NEW.question = 'rhythm', NEW.at_ms, -4611686018427387904),
		NEW.question = 'rhythm' AND NOT NEW.correct AND NEW.sure = 'sure',
		NEW.question = 'first-action',
		NEW.question = 'first-action' AND NEW.correct,
		NEW.question = 'first-action' AND NEW.verdict = 'critical',
		NEW.question IN ('rate', 'regularity', 'p-waves', 'pr', 'qrs'),
		NEW.question IN ('rate', 'regularity', 'p-waves', 'pr', 'qrs') AND NEW.correct,
		NEW.question IN ('rate', 'regularity', 'p-waves', 'pr', 'qrs') AND NEW.verdict = 'critical'
	WHERE NEW.mode <> 'replay'
	ON CONFLICT (learner, subject) DO UPDATE SET
		named = named + excluded.named, named_right = named_right + excluded.named_right,
		named_critical = named_critical + excluded.named_critical, took_ms = took_ms + excluded.took_ms,
		last_ms = max(last_ms, excluded.last_ms), sure_wrong = sure_wrong + excluded.sure_wrong,
		acted = acted + excluded.acted, acted_right = acted_right + excluded.acted_right,
		acted_critical = acted_critical + excluded.acted_critical, steps = steps + excluded.steps,
		steps_right = steps_right + excluded.steps_right, steps_critical = steps_critical + excluded.steps_critical;
	UPDATE summed SET answers = max(answers, NEW.seq);
END;
` + refillSums,
}

// columns are the columns of an answer, in the order values and scan use.
const columns = `id, presentation, learner, at_ms, mode, strip, subject, state, question,
	offered, chosen, right_answers, correct, verdict, sure, looked, took_ms, part, class`

// sumsAgain works the sums out from the answers, refillSums puts them in the place of
// those kept. Step 3 uses both as they are.
const (
	sumsAgain = `SELECT learner, subject,
		count(*) FILTER (WHERE question = 'rhythm'),
		count(*) FILTER (WHERE question = 'rhythm' AND correct),
		count(*) FILTER (WHERE question = 'rhythm' AND verdict = 'critical'),
		coalesce(sum(took_ms) FILTER (WHERE question = 'rhythm' AND correct), 0),
		coalesce(max(at_ms) FILTER (WHERE question = 'rhythm'), -4611686018427387904),
		count(*) FILTER (WHERE question = 'rhythm' AND NOT correct AND sure = 'sure'),
		count(*) FILTER (WHERE question = 'first-action'),
		count(*) FILTER (WHERE question = 'first-action' AND correct),
		count(*) FILTER (WHERE question = 'first-action' AND verdict = 'critical'),
		count(*) FILTER (WHERE question IN ('rate', 'regularity', 'p-waves', 'pr', 'qrs')),
		count(*) FILTER (WHERE question IN ('rate', 'regularity', 'p-waves', 'pr', 'qrs') AND correct),
		count(*) FILTER (WHERE question IN ('rate', 'regularity', 'p-waves', 'pr', 'qrs') AND verdict = 'critical')
	FROM answers WHERE mode <> 'replay' GROUP BY learner, subject`
	refillSums = `
DELETE FROM sums;
INSERT INTO sums ` + sumsAgain + `;
DELETE FROM summed;
INSERT INTO summed SELECT coalesce(max(seq), 0) FROM answers;
`
)

// noTime stands for no time in a sum: earlier than any.
const noTime = -1 << 62
