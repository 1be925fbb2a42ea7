// Package task is what an exercise beside naming strips asks: a few fields to fill in, by
// choice or by number, and how each is marked with its reason. Where the electrodes go
// (scenarios/placing), which limits are set (scenarios/limits), a call
// (scenarios/call) and a chart (scenarios/chart) are all tasks; trainer/form shows any.
package task

import (
	"fmt"
	"math"
	"strings"

	"telltrace/synth/ecg"
)

// A Task is one page to fill in.
type Task struct {
	Strip   ecg.Identity // of the patient it is about, as it is kept with the answers
	Subject string       // catalogue id
	Text    string       // what is to be done, with what must be known
	Fields  []Field
	Inline  bool // the choices of a field are gone through one by one, not listed

	// After is what else is to be said of what was filled in, by paragraph; nil for nothing.
	After func([]Value) []string
}

// A Field is one thing asked: one of Choices, or a Number.
type Field struct {
	Name    string
	Choices []Choice
	Number  *Number
}

// A Choice is one that is offered, with the reason why it is right or not.
type Choice struct {
	Words  string
	Right  bool
	Unsafe bool // taken for right it could hurt someone
	Why    string
}

// A Number is asked in whole steps of a unit.
type Number struct {
	Unit      string
	Least     int
	Most      int
	Step      int
	Start     Value   // what stands there before anything was done; Unset for nothing
	Truth     float64 // of no meaning where Absent
	Within    float64 // how far from the truth is still right
	MayAbsent bool    // "none" may be answered
	Absent    bool    // "none" is right
	Unsafe    func(value int) bool
	Why       func(value int) string // value is None for none
}

// None is the number of an answer "none".
const None = -1

// A Value is what a field holds: the index of a choice, or a number; Unset before any.
type Value int

// Unset is the value of a field that was not filled in.
const Unset Value = -2

// A Mark is what one field came to.
type Mark struct {
	Right  bool
	Unsafe bool
	Chosen string
	Truth  []string // every right answer, in words
	Why    string   // the reason of what was chosen
	WhyNot string   // where it was not right: the reason of the first right choice
}

// Start is the fields before anything was done.
func (t Task) Start() []Value {
	out := make([]Value, len(t.Fields))
	for i, f := range t.Fields {
		out[i] = Unset
		if f.Number != nil {
			out[i] = f.Number.Start
		}
	}
	return out
}

// Check reports what is wrong with a task: a field without a right answer, or without
// another.
func (t Task) Check() error {
	for _, f := range t.Fields {
		if f.Number != nil {
			continue
		}
		right := 0
		for _, c := range f.Choices {
			if c.Right {
				right++
			}
			if c.Words == "" || c.Why == "" {
				return fmt.Errorf("field %q: the choice %q lacks words or a reason", f.Name, c.Words)
			}
		}
		if right == 0 || right == len(f.Choices) {
			return fmt.Errorf("field %q: %d of %d choices are right", f.Name, right, len(f.Choices))
		}
	}
	return nil
}

// Mark marks every field.
func (t Task) Mark(values []Value) []Mark {
	out := make([]Mark, len(t.Fields))
	for i, f := range t.Fields {
		out[i] = f.mark(values[i])
	}
	return out
}

func (f Field) mark(v Value) Mark {
	m := Mark{Chosen: f.Words(v)}
	if n := f.Number; n != nil {
		m.Truth, m.Why = []string{n.truth()}, n.Why(int(v))
		if n.Absent || v == None {
			m.Right = n.Absent && v == None
		} else {
			m.Right = math.Abs(float64(v)-n.Truth) <= n.Within+1e-9
		}
		m.Unsafe = n.Unsafe != nil && n.Unsafe(int(v)) && !m.Right
		return m
	}
	for i, c := range f.Choices {
		if c.Right {
			m.Truth = append(m.Truth, c.Words)
			if m.WhyNot == "" {
				m.WhyNot = c.Why
			}
		}
		if Value(i) == v {
			m.Right, m.Unsafe = c.Right, c.Unsafe
		}
	}
	if int(v) >= 0 && int(v) < len(f.Choices) {
		m.Why = f.Choices[v].Why
	}
	if m.Right || strings.Contains(m.Why, m.WhyNot) { // it is said already
		m.WhyNot = ""
	}
	return m
}

// Words is a value as it is shown and kept, "" for one that is unset.
func (f Field) Words(v Value) string {
	switch {
	case f.Number != nil && v == Unset:
		return ""
	case f.Number != nil && v == None:
		return "none"
	case f.Number != nil:
		return strings.TrimSpace(fmt.Sprintf("%d %s", v, f.Number.Unit))
	case int(v) >= 0 && int(v) < len(f.Choices):
		return f.Choices[v].Words
	}
	return ""
}

func (n *Number) truth() string {
	if n.Absent {
		return "none"
	}
	if n.Within == 0 {
		return strings.TrimSpace(fmt.Sprintf("%.0f %s", n.Truth, n.Unit))
	}
	return strings.TrimSpace(fmt.Sprintf("%.0f %s, within %.0f", n.Truth, n.Unit, n.Within))
}

// Clamp keeps a number within what can be answered.
func (n *Number) Clamp(v int) int { return min(max(v, n.Least), n.Most) }
