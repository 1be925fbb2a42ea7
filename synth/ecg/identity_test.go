package ecg

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// with is a plain strip with one thing changed.
func with(change func(*Identity)) Identity {
	id := Synthetic("ventricular-bigeminy", Years(6), 42)
	change(&id)
	return id
}

func TestIdentityText(t *testing.T) {
	for _, tt := range []struct {
		text string
		id   Identity
	}{
		{"3/ventricular-bigeminy/6y/42", with(func(*Identity) {})},
		{"3/ventricular-bigeminy/10d/0", with(func(id *Identity) { id.Age, id.Seed = Days(10), 0 })},
		{"7/ventricular-bigeminy/4mo/42", with(func(id *Identity) { id.Engine, id.Age = 7, Months(4) })},
		{"3/ventricular-bigeminy/6y/18446744073709551615", with(func(id *Identity) { id.Seed = math.MaxUint64 })},
		{"3/ventricular-bigeminy/6y/42;artifact=movement", with(func(id *Identity) { id.Artifact = "movement" })},
		{"3/ventricular-bigeminy/6y/42;artifact=swapped-electrodes:LA-LL", with(func(id *Identity) { id.Artifact, id.Place = "swapped-electrodes", "LA-LL" })},
		{"3/ventricular-bigeminy/6y/42;artifact=loose-electrode:V@2-9.5", with(func(id *Identity) { id.Artifact, id.Place, id.From, id.To = "loose-electrode", "V", 2, 9.5 })},
		{"3/ventricular-bigeminy/6y/42;limbs=trunk", with(func(id *Identity) { id.Trunk = true })},
		{"3/ventricular-bigeminy/6y/42;severity=subtle", with(func(id *Identity) { id.Severity = Subtle })},
		{"3/ventricular-bigeminy/6y/42;state=not-sure", with(func(id *Identity) { id.State = NotSure })},
		{"3/ventricular-bigeminy/6y/42;leads=II", with(func(id *Identity) { id.Leads = []Lead{II} })},
		{"3/ventricular-bigeminy/6y/42;leads=III,aVF,V1", with(func(id *Identity) { id.Leads = []Lead{III, AVF, V1} })},
		{"3/ventricular-bigeminy/6y/42;rate=250", with(func(id *Identity) { id.Rate = 250 })},
		{"3/ventricular-bigeminy/6y/42;artifact=movement;severity=middle;state=poor-perfusion;leads=I;rate=1000",
			with(func(id *Identity) {
				id.Artifact, id.Severity, id.State, id.Leads, id.Rate = "movement", Middle, PoorPerfusion, []Lead{I}, 1000
			})},
		{"recording;at=12.5;seconds=10;path=mitdb/106", Identity{Recording: "mitdb/106", At: 12.5, Seconds: 10}},
		{"recording;at=0;seconds=0.004;path=odd;name=x/path=y", Identity{Recording: "odd;name=x/path=y", Seconds: 0.004}},
	} {
		assert.Equal(t, tt.text, tt.id.String())
		got, err := ParseIdentity(tt.text)
		require.NoError(t, err, tt.text)
		assert.Equal(t, tt.id, got, tt.text)
	}
}

// An identity that spells out what is usual is the one that leaves it out.
func TestIdentityUsualPartsMayBeSpelled(t *testing.T) {
	got, err := ParseIdentity("3/ventricular-bigeminy/6y/42;severity=plain;state=stable;leads=I,II,III;rate=500")
	require.NoError(t, err)
	assert.Equal(t, "3/ventricular-bigeminy/6y/42", got.String())
}

// A bare identity, whose parts have no value, prints as the usual one.
func TestIdentityZeroPartsAreUsual(t *testing.T) {
	assert.Equal(t, "3/asystole/0d/3", Identity{Engine: 3, Rhythm: "asystole", Seed: 3}.String())
}

func TestIdentityRefused(t *testing.T) {
	for text, says := range map[string]string{
		"":                                   "want ENGINE/RHYTHM/AGE/SEED",
		"3/asystole/6y":                      "want ENGINE/RHYTHM/AGE/SEED",
		"3/asystole/6y/4/5":                  "want ENGINE/RHYTHM/AGE/SEED",
		"x/asystole/6y/4":                    `engine version "x"`,
		"0/asystole/6y/4":                    `engine version "0"`,
		"3//6y/4":                            "the rhythm is missing",
		"2/asystole/six/4":                   `age "six"`,
		"3/asystole/6y/-4":                   `seed "-4"`,
		"3/asystole/6y/18446744073709551616": "seed",
		"3/asystole/6y/4;artifact":           `"artifact" needs a value`,
		"3/asystole/6y/4;artifact=":          `"artifact" needs a value`,
		"3/asystole/6y/4;limbs=tail":         `limbs "tail": where else they can be is trunk`,
		"3/asystole/6y/4;severity=awful":     `severity "awful" is none of plain, middle, subtle`,
		"3/asystole/6y/4;state=fine":         `state "fine" is none of`,
		"3/asystole/6y/4;leads=II,X":         `lead "X" is none of`,
		"3/asystole/6y/4;rate=99":            "from 100 to 2000",
		"3/asystole/6y/4;rate=2001":          "from 100 to 2000",
		"3/asystole/6y/4;colour=red":         `unknown part "colour"`,
		"recording":                          "want recording;at=S;seconds=S;path=RECORD",
		"recording;at=1;seconds=2;path=":     "want recording;at=S;seconds=S;path=RECORD",
		"recording;at=x;seconds=2;path=a":    `at="x" is not a number`,
		"recording;at=-1;seconds=2;path=a":   `at="-1" is not a number`,
		"recording;at=NaN;seconds=2;path=a":  `at="NaN" is not a number`,
		"recording;at=1;seconds=Inf;path=a":  `seconds="Inf" is not a number`,
		"recording;when=1;path=a":            `unknown part "when"`,
	} {
		_, err := ParseIdentity(text)
		if assert.Error(t, err, text) {
			assert.Contains(t, err.Error(), says, text)
			assert.Contains(t, err.Error(), text, "the error repeats what was written")
		}
	}
}

func TestSubject(t *testing.T) {
	assert.Equal(t, "ventricular-bigeminy", with(func(*Identity) {}).Subject())
	assert.Equal(t, "movement", with(func(id *Identity) { id.Artifact = "movement" }).Subject())
}

// FuzzParseIdentity: no text makes it panic, and what it takes it also prints, so
// that the text in a log names the strip it was logged for.
func FuzzParseIdentity(f *testing.F) {
	f.Add("3/sinus-rhythm/10d/7;artifact=movement;state=stable")
	f.Add("3/a/4mo/0;severity=subtle;leads=II,V1;rate=250")
	f.Add("recording;at=12.5;seconds=10;path=mitdb/106")
	f.Add("recording;at=NaN;seconds=1e-9;path=;=/")
	f.Add("2/=/120y/1;leads=")
	f.Fuzz(func(t *testing.T, text string) {
		id, err := ParseIdentity(text)
		if err != nil {
			return
		}
		again, err := ParseIdentity(id.String())
		require.NoError(t, err, "%q prints as %q", text, id.String())
		assert.Equal(t, id, again, "%q prints as %q", text, id.String())
	})
}
