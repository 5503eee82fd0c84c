package request

import (
	"testing"

	"ventbell/internal/book"
)

// Lines that open a lot, and lines that do not. The readings are common practice, no
// source.
func TestLotsAreOpenedInThreeLanguages(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for _, w := range []struct{ line, in, want string }{
		{"lot 7 tequila", "en", "lot 7 tequila"},
		{"Lot 7 Tequila", "en", "lot 7 tequila"},
		{"lot #7 of the tequila", "en", "lot 7 tequila"},
		{"tequila lot L2231", "en", "lot L2231 tequila"},
		{"tequila lot l2231 pls", "en", "lot L2231 tequila"},
		{"tequila: lot no. L2231", "en", "lot L2231 tequila"},
		{"tequila is now lot 12-B", "en", "lot 12-B tequila"},
		{"new lot tequila L2231", "en", "lot L2231 tequila"},
		{"opened lot 9 rum", "en", "lot 9 rum"},
		{"lot 7 teqila", "en", "lot 7 tequila"},
		{"lot H26/4 hazelnut", "en", "lot H26/4 hazelnut"},
		{"gin from lot 2026.11", "en", "lot 2026.11 gin"},
		{"lote 7 tequila", "es", "lot 7 tequila"},
		{"lote 7 de tequila", "es", "lot 7 tequila"},
		{"tequila lote L2231", "es", "lot L2231 tequila"},
		{"nuevo lote de ron L2231", "es", "lot L2231 rum"},
		{"abierto lote n° 8 ginebra por favor", "es", "lot 8 gin"},
		{"lote 7 avellana", "es", "lot 7 hazelnut"},
		{"lot 7 téquila", "", "lot 7 tequila"},
		{"téquila lot L2231", "", "lot L2231 tequila"},
		{"nouveau lot de rhum 31", "fr", "lot 31 rum"},
		{"j'ai ouvert le lot 7 de téquila", "fr", "lot 7 tequila"},
		{"lot n° 7 noisette svp", "", "lot 7 hazelnut"},
	} {
		g := r.Read(w.line, Context{Now: afternoon})
		if g.Request == nil || g.Request.String() != w.want || w.in != "" && g.Language != w.in {
			t.Errorf("%q reads in %s as %+v %+v, want %q", w.line, g.Language, g.Request, g.Problem, w.want)
			continue
		}
		again := r.Read(g.Request.String(), Context{Now: afternoon})
		if again.Request == nil || *again.Request != *g.Request {
			t.Errorf("%q is written %q, which reads as %+v", w.line, g.Request, again.Request)
		}
	}
	for _, line := range []string{
		"lot 7", "where did lot 7 go", "recall lot 7", "lot tequila", "a lot of tequila", "lot 7 vented", "lot 7 of nothing we have", "lot 7 tequila 400ml",
		"start tequila lot 7", "lot 7 tobacco",
	} {
		if g := r.Read(line, Context{Now: afternoon}); g.Request != nil && g.Request.Verb == OpenLot {
			t.Errorf("%q opens a lot: %+v", line, g.Request)
		}
	}
}
