package request

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Common practice, no source.
func TestAVerdictIsReadInThreeLanguages(t *testing.T) {
	t.Parallel()
	open := []Open{
		{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: stored, Mine: true},
		{Batch: 2, Title: "ginger gin", Vessel: "B", Phase: labelling},
		{Batch: 3, Title: "bay vodka", Vessel: "C", Phase: resting},
	}
	alone := open[:1]
	r := NewReader(bar())
	for _, w := range []row{
		{"weak A", open, "en", "taste weak A"},
		{"A too strong", open, "en", "taste strong A"},
		{"too strong", alone, "en", "taste strong A"},
		{"strong", open, "en", "taste strong A"}, // the other is not stored yet
		{"tastes right A", open, "en", "taste right A"},
		{"right A", open, "en", "taste right A"},
		{"not strong enough A", open, "en", "taste weak A"},
		{"the rhubarb gin came out too strong", open, "en", "taste strong A"},
		{"rhubarb gin tastes weak", idle, "en", "taste weak rhubarb gin"},
		{"solids spent A", open, "en", "taste spent A"},
		{"solids are good again in A", open, "en", "taste good again A"},
		{"taste good again A", open, "en", "taste good again A"},
		{"taste strong B", open, "en", "taste strong B"},
		{"flojo A", open, "es", "taste weak A"},
		{"muy fuerte A", open, "es", "taste strong A"},
		{"la ginebra de ruibarbo salió floja", open, "es", "taste weak A"},
		{"sabe bien A", open, "es", "taste right A"},
		{"bien A", open, "es", "taste right A"},
		{"sólidos agotados A", open, "es", "taste spent A"},
		{"trop fort A", open, "fr", "taste strong A"},
		{"faible A", open, "fr", "taste weak A"},
		{"pas assez fort A", open, "fr", "taste weak A"},
		{"juste bien A", open, "fr", "taste right A"},
		{"solides épuisés A", open, "fr", "taste spent A"},
		{"weak", idle, "en", "! nothing open"},
		{"weak or strong A", open, "en", "! unknown verb weak"},
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
}

// What only sounds like a verdict stays what it was.
func TestAWordOfTasteIsNoVerdictByItself(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	for line, want := range map[string]Verb{
		"how strong is A": Asks, "how strong is the rhubarb gin": Asks, "strength A": Asks, "right, vented A": Vented, "bien, vacié A": Vented,
		"start strong rhubarb gin 400ml": "", "is A strong?": "", "not weak A": "", "right": "", "bien": "", "good A": "", "strong A charged": "",
	} {
		g := r.Read(line, Context{Now: evening, Open: shift})
		if g.Request == nil {
			if want != "" && g.Question == nil {
				t.Errorf("%q reads as %s, want %s", line, brief(g), want)
			}
			continue
		}
		if g.Request.Verb == Taste || want != "" && g.Request.Verb != want {
			t.Errorf("%q reads as %s", line, brief(g))
		}
	}
}

func TestEveryLanguageSaysEveryVerdict(t *testing.T) {
	t.Parallel()
	for _, l := range tongues {
		said := []Verdict{}
		for _, v := range []Verdict{Weak, Right, Strong, Spent, GoodAgain} {
			if len(tastes[l.is][v]) > 0 {
				said = append(said, v)
			}
		}
		if diff := cmp.Diff([]Verdict{Weak, Right, Strong, Spent, GoodAgain}, said); diff != "" {
			t.Errorf("%s (-want +got):\n%s", l.code, diff)
		}
	}
}
