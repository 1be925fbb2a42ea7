package look

import "fmt"

// Words that several screens share. What a colour says is always said by one of
// these as well.
const (
	// Caution stands wherever something could be taken for more than practice.
	Caution = "Training only: synthetic traces, not for diagnosis or patient care. " +
		"Local policy, current resuscitation guidelines and licensed practice come first."
	// PatientFirst is the first rule at the bedside.
	PatientFirst = "Look at the patient first."

	// NotSure is always among the choices.
	NotSure = "not sure: check the patient and call"
	// MissMark stands before what must not be missed, where there is no room for words.
	MissMark = "!"

	NoSignal = "no signal" // where samples are missing or invalid
	Pulse    = "pulse"     // names the pulse trace
)

// TooSmall says what size a screen needs, columns by rows.
func TooSmall(cols, rows, needCols, needRows int) string {
	return fmt.Sprintf("This needs a window of at least %d columns by %d rows; it is %d by %d.", needCols, needRows, cols, rows)
}
