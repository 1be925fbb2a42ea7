package main

import (
	"fmt"
	"io"
	"strings"

	"telltrace/synth/alarm"
	"telltrace/synth/record"
)

// A jsonAlarm is what the traces say of an alarm.
type jsonAlarm struct {
	Alarm   alarm.Kind `json:"alarm"`
	Real    bool       `json:"real"`
	Reasons []string   `json:"reasons"`
}

// weigh says whether the alarm at the end of a recording was real.
func (c *console) weigh(o measureOrder, path string) error {
	format, err := oneOf("format", o.format, []string{"text", "json"})
	if err != nil {
		return err
	}
	kind, err := oneOf("alarm", o.alarm, alarm.Kinds)
	if err != nil {
		return err
	}
	rec, err := record.ReadSegment(path, o.at, o.seconds)
	if err != nil {
		return err
	}
	v, err := alarm.Judge(rec.Strip, kind)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if format == "json" {
		return writeJSON(c.out, jsonAlarm{v.Kind, v.Real, v.Reasons})
	}
	word := "false"
	if v.Real {
		word = "real"
	}
	_, err = io.WriteString(c.out, fmt.Sprintf("%s: the %s alarm at %.6g s is %s.\n  %s\n%s\n", path, kind, o.at+rec.Strip.Seconds(), word,
		strings.Join(v.Reasons, "\n  "), readingCaution))
	return err
}
