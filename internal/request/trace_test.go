package request_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/request"
)

// The lines are of our own; how a house speaks of lots is common practice, no source.
func TestLinesAboutLotsAndCodesAreRead(t *testing.T) {
	t.Parallel()
	recall := func(lot, code, why string) request.Request {
		return request.Request{Verb: request.Recall, Lot: lot, Code: code, Text: why}
	}
	where := func(lot string) request.Request {
		return request.Request{Verb: request.Asks, Topic: request.WhereLot, Lot: lot}
	}
	trace := func(code, vessel string) request.Request {
		return request.Request{Verb: request.Asks, Topic: request.TraceOf, Code: code, Vessel: vessel}
	}
	binned := func(code string) request.Request { return request.Request{Verb: request.Binned, Code: code} }
	const code = "261124-pepper-tequila-a-1"
	for _, row := range []struct {
		line, language string
		want           request.Request
	}{
		{"recall lot 7", "en", recall("7", "", "")},
		{"Recall lot 7: supplier call", "en", recall("7", "", "supplier call")},
		{"recall the lot L2231 because the supplier rang", "en", recall("l2231", "", "the supplier rang")},
		{"pull lot #7", "en", recall("7", "", "")},
		{"take back everything from lot B-12/3", "en", recall("b-12/3", "", "")},
		{"recall " + code, "en", recall("", code, "")},
		{"recall batch 261124-Pepper-Tequila-A-1: glass in it", "en", recall("", code, "glass in it")},
		{"retira el lote 7", "es", recall("7", "", "")},
		{"Retirar lote L-7: llamó el proveedor", "es", recall("l-7", "", "llamó el proveedor")},
		{"rappel du lot 7", "fr", recall("7", "", "")},
		{"rappelle le lot 7 : appel du fournisseur", "fr", recall("7", "", "appel du fournisseur")},
		{"where did lot 7 go", "en", where("7")},
		{"where did lot 7 go?", "en", where("7")},
		{"where is the lot 7 now?", "en", where("7")},
		{"what's in lot 7", "en", where("7")},
		{"what was made with lot 7?", "en", where("7")},
		{"¿dónde está el lote 7?", "es", where("7")},
		{"donde fue a parar el lote 7", "es", where("7")},
		{"où est passé le lot 7 ?", "fr", where("7")},
		{"trace le lot 7", "fr", where("7")},
		{"trace " + code, "en", trace(code, "")},
		{"what happened to " + code + "?", "en", trace(code, "")},
		{code, "en", trace(code, "")},
		{"what happened to A", "en", trace("", "A")},
		{"trace B", "en", trace("", "B")},
		{"¿qué pasó con A?", "es", trace("", "A")},
		{"historique de " + code, "fr", trace(code, "")},
		{"que s'est-il passé avec A", "fr", trace("", "A")},
		{"binned " + code, "en", binned(code)},
		{code + " is in the bin", "en", binned(code)},
		{"tirado " + code, "es", binned(code)},
		{"jeté " + code, "fr", binned(code)},
	} {
		r := request.NewReader(book.Sample())
		c := request.Context{Book: book.Sample(), Now: time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC), Language: row.language}
		got := r.Read(row.line, c)
		if got.Request == nil {
			t.Errorf("%q: %+v", row.line, got)
			continue
		}
		if diff := cmp.Diff(row.want, *got.Request); diff != "" {
			t.Errorf("%q (-want +got):\n%s", row.line, diff)
		}
		if got.Language != row.language {
			t.Errorf("%q: read as %s, want %s", row.line, got.Language, row.language)
		}
		again := r.Read(row.want.String(), c)
		if again.Request == nil || !cmp.Equal(row.want, *again.Request) {
			t.Errorf("%q printed as %q reads as %+v", row.line, row.want.String(), again)
		}
	}
}
