package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"telltrace/synth/agreement"
	"telltrace/synth/measure"
	"telltrace/synth/record"
)

// A recordFigure is how well the beats of one record were found.
type recordFigure struct {
	Record string      `json:"record"`
	Lead   string      `json:"lead"`
	QRS    jsonAgreed  `json:"qrs"`
	VEB    *jsonAgreed `json:"veb,omitempty"` // where there are any
}

// jsonAgreed is an agreement.Figure; shares that are not defined are left out.
type jsonAgreed struct {
	TP int `json:"tp"`
	FN int `json:"fn"`
	FP int `json:"fp"`
	jsonShares
}

type jsonShares struct {
	Sensitivity *float64 `json:"sensitivity,omitempty"`
	Predictive  *float64 `json:"positive_predictivity,omitempty"`
	FalseRate   *float64 `json:"false_positive_rate,omitempty"`
}

// against compares the beats found in records with their reference annotations.
func (c *console) against(o measureOrder, paths []string) error {
	format, err := oneOf("format", o.format, []string{"text", "json"})
	if err != nil {
		return err
	}
	if len(paths) > 1 && strings.ContainsAny(o.against, `/\.`) {
		return fmt.Errorf("--against %s names one file for %d records; give the annotator, as in --against atr", o.against, len(paths))
	}
	if o.beats != "" {
		return errors.New("--against and --beats do not go together")
	}
	var gross agreement.Table
	var rows []recordFigure
	var qrs, veb []agreement.Figure
	for _, path := range paths {
		row, table, err := c.compared(o, path)
		if err != nil {
			return err
		}
		gross = gross.Plus(table)
		qrs, veb = append(qrs, table.QRS()), append(veb, table.VEB())
		rows = append(rows, row)
	}
	total, averageQRS, averageVEB := rowOf("gross", "", gross), average(qrs), average(veb)
	if format == "json" {
		return writeJSON(c.out, map[string]any{"window_s": agreement.Window, "records": rows, "gross": total,
			"average": map[string]any{"qrs": averageQRS, "veb": averageVEB}})
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Beat by beat, after ANSI/AAMI EC57: within %.0f ms, ventricular flutter and fibrillation left out, no learning period.\nA beat without a partner within that time of either end is not counted.\n\n", 1000*agreement.Window)
	fmt.Fprintf(&b, "%-14s %-6s %7s %5s %5s %9s %9s   %6s %5s %5s %9s %9s %8s\n", "record", "lead", "QRS TP", "FN", "FP", "Se", "+P", "VEB TP", "FN", "FP", "Se", "+P", "FPR")
	for _, row := range append(rows, total) {
		v := jsonAgreed{}
		if row.VEB != nil {
			v = *row.VEB
		}
		fmt.Fprintf(&b, "%-14s %-6s %7d %5d %5d %9s %9s   %6d %5d %5d %9s %9s %8s\n", row.Record, row.Lead,
			row.QRS.TP, row.QRS.FN, row.QRS.FP, share(row.QRS.Sensitivity), share(row.QRS.Predictive),
			v.TP, v.FN, v.FP, share(v.Sensitivity), share(v.Predictive), share(v.FalseRate))
	}
	fmt.Fprintf(&b, "%-14s %-6s %7s %5s %5s %9s %9s   %6s %5s %5s %9s %9s\n", "average", "", "", "", "",
		share(averageQRS.Sensitivity), share(averageQRS.Predictive), "", "", "", share(averageVEB.Sensitivity), share(averageVEB.Predictive))
	_, err = io.WriteString(c.out, b.String())
	return err
}

// compared reads one record and compares its beats.
func (c *console) compared(o measureOrder, path string) (recordFigure, agreement.Table, error) {
	rec, lead, err := c.readFor(o, path)
	if err != nil {
		return recordFigure{}, agreement.Table{}, err
	}
	reference := o.against
	if !strings.ContainsAny(reference, `/\.`) {
		reference = strings.TrimSuffix(path, filepath.Ext(path)) + "." + o.against
	}
	list, err := record.ReadAnnotations(reference)
	if err != nil {
		return recordFigure{}, agreement.Table{}, err
	}
	r, err := measure.Read(rec.Strip, lead)
	if err != nil {
		return recordFigure{}, agreement.Table{}, fmt.Errorf("%s: %w", path, err)
	}
	from := float64(rec.Start) / rec.Strip.Rate
	end := from + rec.Strip.Seconds()
	beats, leaveOut := agreement.Reference(list, rec.Strip.Rate, end)
	if len(beats) == 0 {
		return recordFigure{}, agreement.Table{}, fmt.Errorf("%s: no beat is annotated there", reference)
	}
	var found []agreement.Beat
	for _, a := range annotationsOf(r.Marks.Beats, rec.Strip.Rate, rec.Start) {
		class, _ := agreement.ClassOf(a.Symbol)
		found = append(found, agreement.Beat{At: float64(a.Sample) / rec.Strip.Rate, Class: class})
	}
	table := agreement.Compare(beats, found, leaveOut, from, end)
	return rowOf(filepath.Base(path), string(r.Lead), table), table, nil
}

func rowOf(name, lead string, t agreement.Table) recordFigure {
	row := recordFigure{Record: name, Lead: lead, QRS: agreed(t.QRS())}
	if v := t.VEB(); v.TP+v.FN+v.FP > 0 {
		a := agreed(v)
		row.VEB = &a
	}
	return row
}

func agreed(f agreement.Figure) jsonAgreed {
	return jsonAgreed{f.TP, f.FN, f.FP, jsonShares{defined(f.Sensitivity), defined(f.Predictive), defined(f.FalseRate)}}
}

func average(figures []agreement.Figure) jsonShares {
	se, pp := agreement.Average(figures)
	return jsonShares{Sensitivity: defined(se), Predictive: defined(pp)}
}

func defined(v float64) *float64 {
	if math.IsNaN(v) {
		return nil
	}
	return &v
}

func share(v *float64) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%.2f %%", 100**v)
}
