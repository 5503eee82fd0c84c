package request

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Of pieces that are kept what comes out is told in grams, and a number without
// a unit is of grams where the batch is one of them.
func TestPiecesThatAreKeptAreToldInGrams(t *testing.T) {
	t.Parallel()
	open := []Open{
		{Batch: 1, Title: "gin-soaked melon", Vessel: "A", Phase: straining, Mine: true, Weighed: true},
		{Batch: 2, Title: "rhubarb gin", Vessel: "B", Phase: straining, Mine: true},
	}
	r := NewReader(house())
	for _, row := range []struct{ line, language, want string }{
		{"drained A 220 g", "en", "strained A 220g"},
		{"drained A 220", "en", "strained A 220g"},
		{"A drained 220g", "en", "strained A 220g"},
		{"strained A 220", "en", "strained A 220g"},
		{"strained A 220 g", "en", "strained A 220g"},
		{"strained A 220 g 180 ml", "en", "strained A 220g 180ml"},
		{"drained the melon, 220 grams", "en", "strained A 220g"},
		{"drained 220g", "en", "strained A 220g"}, // the only one that grams are said of
		{"drained A 180ml", "en", "strained A 180ml"},
		{"drained A 8 oz", "en", "strained A 226.8g"}, // NIST Handbook 44, Appendix C: 28.349523125 g
		{"drained A 1.5", "en", "strained A 1500g"},
		{"drained A 220g 5 minutes ago", "en", "strained A 220g at 18:03:30"},
		{"strained B 330", "en", "strained B 330ml"},
		{"escurrido A 220 g", "es", "strained A 220g"},
		{"A escurrida 220gr", "es", "strained A 220g"},
		{"ya escurrí el A, 220 gramos", "es", "strained A 220g"},
		{"escurrido el melón 220", "es", "strained A 220g"},
		{"égoutté A 220 g", "fr", "strained A 220g"},
		{"egoutté A 220", "fr", "strained A 220g"},
		{"j'ai égoutté A, 220 grammes", "fr", "strained A 220g"},
		{"c'est égoutté A 220g", "fr", "strained A 220g"},

		{"strained B 330 g", "en", "bad number"}, // a liquid is not weighed
		{"drained A 220 g 10 g", "en", "bad number"},
		{"drained A 220 180", "en", "bad number"},
		{"drained A 0 g", "en", "bad number"},
		{"drained A 220 C", "en", "which vessel"}, // C is one
	} {
		c := Context{Book: house(), Now: evening, Open: open}
		got := r.Read(row.line, c)
		said := ""
		switch {
		case got.Request != nil:
			said = got.Request.String()
		case got.Problem != nil:
			said = string(got.Problem.Code)
		default:
			said = string(got.Question.Code)
		}
		if said != row.want || got.Language != row.language {
			t.Errorf("%q reads as %q in %q, want %q in %q", row.line, said, got.Language, row.want, row.language)
		}
		if got.Request == nil {
			continue
		}
		again := r.Read(said, c)
		if diff := cmp.Diff(got.Request, again.Request); diff != "" {
			t.Errorf("%q printed as %q reads otherwise (-first +again):\n%s", row.line, said, diff)
		}
	}
}

func TestWhatIsToBeDrainedIsAsked(t *testing.T) {
	t.Parallel()
	r := NewReader(house())
	for _, line := range []string{"what needs draining", "qué hay que escurrir", "qu'est-ce qu'il faut égoutter"} {
		got := r.Read(line, Context{Book: house(), Now: evening})
		if got.Request == nil || got.Request.Topic != Unstrained {
			t.Errorf("%q reads as %+v", line, got)
		}
	}
}
