package request

import (
	"cmp"
	"slices"
	"strings"
)

// lottings are the lines that open a lot: their groups are the lot and what it is of.
// Only a whole line counts, and only with a liquid or a botanical of the book in it.
// Common practice, no source.
var lottings = func() wholes {
	const (
		code   = `(?P<lot>[a-z0-9][a-z0-9./_-]{0,23})`
		of     = `(?P<of>[^0-9@<>][^@<>]{0,60}?)`
		number = `(?: ?(?:no\.?|nr\.?|number|num\.?|numero|n°|nº|#))?[ :#]*`
	)
	w := wholes{hints: []string{"lot"}, most: 120}
	for _, f := range []struct{ language, form string }{
		{"", `lot` + number + code + `(?: of| de| du| d'| of the| de la| de l'|:)? ?` + of},
		{"", of + `(?: is| est)?(?: now)?(?: from)?[ :,]+lot` + number + code},
		{"en", `(?:new|open|opened|opening|started|next|now) lot` + number + code + `(?: of(?: the)?|:)? ` + of},
		{"en", `(?:new|open|opened|next) ` + of + ` lot` + number + code},
		{"en", `(?:new|next) lot(?: of(?: the)?)? ` + of + `[ :,]+` + code},
		{"es", `(?:nuevo |abro |abierto |abrimos |abri )?lote` + number + code + `(?: de(?: la|l)?|:)? ` + of},
		{"es", of + `(?: es| es del| ahora| del)?[ :,]+lote` + number + code},
		{"es", `(?:nuevo lote|lote nuevo|otro lote)(?: de(?: la|l)?)? ` + of + `[ :,]+` + code},
		{"fr", `(?:nouveau |ouvert |j'ai ouvert |ouvre |on ouvre )(?:le )?lot` + number + code + `(?: de(?: la)?| du| d'|:)? ?` + of},
		{"fr", `(?:nouveau lot|autre lot)(?: de(?: la)?| du| d')? ?` + of + `[ :,]+` + code},
		{"fr", of + ` (?:du|est du|maintenant) lot` + number + code},
	} {
		w.forms = append(w.forms, whole{code: f.language, verb: OpenLot, form: politely(f.form)})
	}
	return w
}()

// lot reads a line that opens a lot.
func (s *sentence) lot(c Context) (Reading, bool) {
	for m := range lottings.in(&s.line) {
		req, of := Request{Verb: m.verb}, ""
		for name, text := range m.groups() {
			if name == "lot" {
				req.Lot = strings.ToUpper(text)
			} else {
				of = text
			}
		}
		if !hasDigit(req.Lot) || !s.good(&req, of, c) {
			continue
		}
		if again := (Request{}); !s.good(&again, req.Base+req.Solid, c) || again.Base != req.Base || again.Solid != req.Solid {
			continue // the book's own name is taken for another thing
		}
		return Reading{Request: &req, Language: cmp.Or(m.code, s.language(s.home))}, true
	}
	return Reading{}, false
}

// good finds the one liquid or botanical of the book that a text names, and nothing
// else. What is exact wins over what is near, a name in full over half a name, and a
// liquid over a botanical of the same name.
func (r *Reader) good(req *Request, text string, c Context) bool {
	s := r.sentence(text, c)
	if len(s.toks) == 0 || len(s.toks) > 8 || slices.ContainsFunc(s.toks, func(t token) bool { return t.kind == number }) {
		return false
	}
	terms := s.terms()
	if len(terms) > maxTerms || !slices.ContainsFunc(terms, func(t term) bool { return !t.spare }) {
		return false
	}
	x := s.index
	for _, near := range []bool{false, true} {
		if near {
			s.guess(terms)
		}
		for k, list := range []*names{&x.liquids, &x.solids, &x.halfLiquids, &x.halfSolids} {
			of, ok := s.only(terms, list)
			switch {
			case !ok || near && k > 1:
				continue
			case k%2 == 0:
				req.Base = r.book.Liquids[of].Name
				return true
			case r.book.Botanicals[of].Refused == "":
				req.Solid = r.book.Botanicals[of].Name
				return true
			}
		}
	}
	return false
}

// only gives the one thing of a list that all the terms name.
func (s *sentence) only(terms []term, list *names) (of int, ok bool) {
	of = -1
	for _, at := range list.among(terms) {
		n := list.list[at]
		if taken, _, holds := s.index.holds(terms, n, 0); !holds || !s.all(terms, taken) || of == n.of {
			continue
		}
		if of >= 0 {
			return 0, false
		}
		of = n.of
	}
	return of, of >= 0
}

// lotLine writes a line that opens a lot.
func (r Request) lotLine() string { return "lot " + r.Lot + " " + r.Base + r.Solid }
