package synth_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth"
)

// The trade's own short words (common practice).
func TestSaid(t *testing.T) {
	t.Parallel()
	for words, want := range map[string]string{
		"VT": "monomorphic-ventricular-tachycardia", "V tach": "monomorphic-ventricular-tachycardia", "v-tach": "monomorphic-ventricular-tachycardia",
		"afib": "atrial-fibrillation", "A. fib": "atrial-fibrillation", "SVT": "supraventricular-tachycardia", "JET": "junctional-ectopic-tachycardia",
		"PEA": "pulseless-electrical-activity", "V fib": "coarse-ventricular-fibrillation", "2:1 block": "two-to-one-av-block", "Mobitz II": "second-degree-av-block-type-2",
		"complete heart block": "third-degree-av-block", "asystole": "asystole", "Ventricular bigeminy": "ventricular-bigeminy", "long QT": "long-qt",
		"first-degree AV block": "first-degree-av-block",
	} {
		id, ok := synth.Said(words)
		assert.True(t, ok, words)
		assert.Equal(t, want, id, words)
	}
	for _, words := range []string{"", " . ", "block", "tachycardia", "something else"} {
		id, ok := synth.Said(words)
		assert.False(t, ok, "%q was taken for %s", words, id)
	}
}

// Every word in the table leads to an entry that exists, and no word is an entry's own.
func TestSaidLeadsSomewhere(t *testing.T) {
	t.Parallel()
	for _, l := range synth.Lessons() {
		id, ok := synth.Said(l.ID)
		assert.True(t, ok && id == l.ID, l.ID)
		id, ok = synth.Said(l.Name)
		assert.True(t, ok && id == l.ID, l.Name)
	}
	_, err := synth.FindLesson("vtach")
	assert.ErrorContains(t, err, `did you mean "monomorphic-ventricular-tachycardia"?`)
	_, err = synth.FindLesson("chb")
	assert.ErrorContains(t, err, `did you mean "third-degree-av-block"?`)
}
