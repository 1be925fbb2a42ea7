package task_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/scenarios/task"
)

var number = &task.Number{Unit: "ms", Most: 500, Step: 10, Start: task.Unset, Truth: 160, Within: 20, MayAbsent: true,
	Unsafe: func(v int) bool { return v > 300 }, Why: func(int) string { return "Counted." }}

// A number is right up to its tolerance and no further; none is right only where there is none.
func TestNumbers(t *testing.T) {
	absent := *number
	absent.Absent = true
	for _, c := range []struct {
		n             *task.Number
		v             task.Value
		right, unsafe bool
		chosen        string
	}{
		{number, 140, true, false, "140 ms"},
		{number, 180, true, false, "180 ms"},
		{number, 139, false, false, "139 ms"},
		{number, 181, false, false, "181 ms"},
		{number, 301, false, true, "301 ms"},
		{number, task.None, false, false, "none"},
		{&absent, task.None, true, false, "none"},
		{&absent, 160, false, false, "160 ms"},
	} {
		m := task.Task{Fields: []task.Field{{Name: "PR", Number: c.n}}}.Mark([]task.Value{c.v})[0]
		assert.Equal(t, c.right, m.Right, "%d", c.v)
		assert.Equal(t, c.unsafe, m.Unsafe, "%d", c.v)
		assert.Equal(t, c.chosen, m.Chosen)
	}
	assert.Equal(t, 500, number.Clamp(900))
	assert.Equal(t, 0, number.Clamp(-5))
	assert.Equal(t, []task.Value{task.Unset}, task.Task{Fields: []task.Field{{Number: number}}}.Start())
}

// A choice is marked with its own reason, and all right ones are named, the first with its reason.
func TestChoices(t *testing.T) {
	f := task.Field{Name: "told", Choices: []task.Choice{
		{Words: "a", Right: true, Why: "so"}, {Words: "b", Unsafe: true, Why: "never"}, {Words: "c", Right: true, Why: "also"}}}
	fields := task.Task{Fields: []task.Field{f}}
	assert.NoError(t, fields.Check())
	m := fields.Mark([]task.Value{1})[0]
	assert.Equal(t, task.Mark{Unsafe: true, Chosen: "b", Truth: []string{"a", "c"}, Why: "never", WhyNot: "so"}, m)
	assert.True(t, fields.Mark([]task.Value{2})[0].Right)
	unset := fields.Mark([]task.Value{task.Unset})[0]
	assert.False(t, unset.Right)
	assert.Empty(t, unset.Chosen)

	f.Choices = f.Choices[1:2]
	assert.ErrorContains(t, task.Task{Fields: []task.Field{f}}.Check(), "0 of 1 choices are right")
	f.Choices = []task.Choice{{Words: "a", Right: true}, {Words: "b", Why: "x"}}
	assert.ErrorContains(t, task.Task{Fields: []task.Field{f}}.Check(), "lacks words or a reason")
}
