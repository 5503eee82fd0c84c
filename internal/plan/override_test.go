package plan_test

import (
	"bytes"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// Only a named person with a document lets a recipe keep longer.
func TestAnOverrideInTheBookLengthensAndIsNamed(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)
	days := func(extra string) (plan.Keep, error) {
		yaml := bytes.Replace(book.SampleYAML(),
			[]byte("  - name: rhubarb gin\n"), []byte("  - name: rhubarb gin\n"+extra), 1)
		if extra != "" {
			yaml = bytes.Replace(yaml, []byte("    from:\n      common practice: [chargers, judge_after]\n      estimate: [ratio, temp, swirl, rest, settle, contact]"),
				[]byte("    from:\n      common practice: [chargers, judge_after]\n      estimate: [ratio, temp, swirl, rest, settle, contact, override]"), 1)
		}
		b, err := book.Parse(yaml)
		if err != nil {
			return plan.Keep{}, err
		}
		p, problem := plan.Make(b, request.Request{Verb: request.Start, Recipe: "rhubarb gin"}, b.Vessels, plan.Input{Now: now})
		if problem != nil {
			t.Fatalf("no plan: %+v", problem)
		}
		return p.Figures.Keep, nil
	}
	table, err := days("")
	if err != nil || table.Days != 14 || table.Override != "" {
		t.Fatalf("by the table %+v, %v", table, err)
	}
	longer, err := days("    override: 30 days\n    override_by: prep-lead\n    override_document: laboratory report 12\n")
	if err != nil || longer.Days != 30 || longer.Override != "prep-lead, laboratory report 12" {
		t.Errorf("with the override %+v, %v; want 30 days by prep-lead", longer, err)
	}
	if _, err := days("    override: 30 days\n    override_by: prep-lead\n"); err == nil {
		t.Error("an override without a document was read")
	}
	shorter, err := days("    override: 3 days\n    override_by: prep-lead\n    override_document: laboratory report 12\n")
	if err != nil || shorter.Days != 14 {
		t.Errorf("an override of three days gives %+v, %v; it only lengthens", shorter, err)
	}
}
