package request

import "testing"

// One line says how a batch came out, how much of it, and what became of its
// solids. Common practice, no source.
func TestOneLineTellsTasteAmountAndSolids(t *testing.T) {
	t.Parallel()
	open := []Open{
		{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: stored, Mine: true},
		{Batch: 2, Title: "quick cucumber pickle", Vessel: "B", Phase: stored, Weighed: true},
		{Batch: 3, Title: "bay vodka", Vessel: "C", Phase: resting},
	}
	r := NewReader(bar())
	for _, w := range []row{
		{"strong A 345ml spent", open, "en", "taste strong solids spent A 345ml"},
		{"A strong, 345 ml, spent", open, "en", "taste strong solids spent A 345ml"},
		{"A 345, weak", open, "en", "taste weak A 345ml"},
		{"spent A, too strong", open, "en", "taste strong solids spent A"},
		{"right A 0.34 l solids good again", open, "en", "taste right solids good again A 340ml"},
		{"weak B 220", open, "en", "taste weak B 220g"},
		{"weak B 220 g", open, "en", "taste weak B 220g"},
		{"rhubarb gin strong, 345ml, spent", open, "en", "taste strong solids spent A 345ml"},
		{"rhubarb gin came out strong 345ml", idle, "en", "taste strong rhubarb gin 345ml"},
		{"flojo A 345 ml agotado", open, "es", "taste weak solids spent A 345ml"},
		{"trop fort A 345 ml, épuisé", open, "fr", "taste strong solids spent A 345ml"},
		{"taste strong solids good again A 345ml", open, "en", "taste strong solids good again A 345ml"},
		{"weak A 80 g", open, "en", "! bad number 80 g"},
		{"weak strong A 345", open, "en", "! unknown verb weak"},
	} {
		c := Context{Now: evening, Open: w.open}
		g := r.Read(w.line, c)
		if got := brief(g); got != w.want || g.Language != w.in {
			t.Errorf("%q reads as %s %s and not %s %s", w.line, g.Language, got, w.in, w.want)
		}
		if err := checkReading(r, w.line, c); err != nil {
			t.Error(err)
		}
	}
	// With no more than "strong" it may be meant to begin.
	if g := r.Read("strong rhubarb gin 400ml", Context{Now: evening}); g.Request != nil && g.Request.Verb == Taste {
		t.Errorf("a start reads as %s", brief(g))
	}
}
