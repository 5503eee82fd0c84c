package request

import "testing"

func TestDoneTicksTheOneStepThatIsDueOfTheSpeaker(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	strain := Open{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: straining, Mine: true, Due: Strained}
	label := Open{Batch: 2, Title: "ginger gin", Vessel: "B", Phase: labelling, Mine: true, Due: Labelled}
	vent := Open{Batch: 3, Title: "cacao rum", Vessel: "C", Phase: venting, Mine: true, Due: Vented}
	charge := Open{Batch: 4, Title: "bay vodka", Vessel: "D", Phase: charging, Mine: true, Due: Charged}
	others := vent
	others.Mine = false
	for _, w := range []struct {
		line string
		open []Open
		want string
	}{
		{"done", []Open{strain}, "strained A"},
		{"ok", []Open{strain}, "strained A"},
		{"👍", []Open{strain}, "strained A"},
		{":+1:", []Open{strain}, "strained A"},
		{"👍🏽", []Open{strain}, "strained A"},
		{"✅", []Open{strain}, "strained A"},
		{"listo", []Open{strain}, "strained A"},
		{"hecho chef", []Open{strain}, "strained A"},
		{"oído", []Open{strain}, "strained A"},
		{"fait", []Open{strain}, "strained A"},
		{"ça y est", []Open{strain}, "strained A"},
		{"c'est fait", []Open{strain}, "strained A"},
		{"oui chef", []Open{strain}, "strained A"},
		{"done B", []Open{strain, label}, "labelled B"},
		{"listo el gin de jengibre", []Open{strain, label}, "labelled B"},
		{"done", []Open{strain, label}, "? which step done: strained A | labelled B"},
		{"done", []Open{strain, label, vent, charge}, "? which step done: strained A | labelled B | vented C"},
		// That it is empty is believed of "done", not of "heard".
		{"done", []Open{vent}, "vented C"},
		{"ok", []Open{vent}, "? which meant vented: vented C | resting"},
		{"👍", []Open{vent}, "? which meant vented: vented C | resting"},
		// Never a charger, never what is another's.
		{"done", []Open{charge}, "! nothing due"},
		{"done", []Open{others}, "! nothing due"},
		{"done C", []Open{others}, "! nothing due"},
		{"ok", nil, "! nothing due"},
		// Not a word more.
		{"is it done?", []Open{strain}, "! unknown verb is"},
		{"not done", []Open{strain}, "! unknown verb not"},
		{"one", []Open{vent}, "! unknown verb one"},
		{"don", []Open{vent}, "! unknown verb don"},
	} {
		c := Context{Now: evening, Open: w.open}
		if got := brief(r.Read(w.line, c)); got != w.want {
			t.Errorf("%q reads as %q, want %q", w.line, got, w.want)
		}
		if err := checkReading(r, w.line, c); err != nil {
			t.Error(err)
		}
	}
}
