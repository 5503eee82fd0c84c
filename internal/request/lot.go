package request

import (
	"regexp"
	"slices"
	"strings"
)

// lotting is one way to say of which lot something is from now on, in one language;
// empty = in more than one. Its groups are the lot and what it is of.
type lotting struct {
	language string
	form     *regexp.Regexp
}

// lottings are the lines that open a lot. Only a whole line counts, and only with a
// liquid or a botanical of the book in it. Common practice, no source.
var lottings = func() []lotting {
	const (
		code   = `(?P<lot>[a-z0-9][a-z0-9./_-]{0,23})`
		of     = `(?P<of>[^0-9@<>][^@<>]{0,60}?)`
		please = `(?:please|pls|plz|por favor|porfa|s'il te plait|s'il vous plait|svp|stp)`
		number = `(?: ?(?:no\.?|nr\.?|number|num\.?|numero|n°|nº|#))?[ :#]*`
	)
	var list []lotting
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
		list = append(list, lotting{f.language, regexp.MustCompile(`^(?:` + please + `[ ,]*)?(?:` + f.form + `)[ ,]*(?:` + please + `)?[ .!]*$`)})
	}
	return list
}()

// lot reads a line that opens a lot.
func (r *Reader) lot(text string, c Context) (Reading, bool) {
	text = strings.Join(strings.Fields(text), " ")
	if len(text) > 120 || !strings.Contains(strings.ToLower(text), "lot") {
		return Reading{}, false
	}
	plain, from := folded(text)
	for _, f := range lottings {
		m := f.form.FindStringSubmatchIndex(plain)
		if m == nil {
			continue
		}
		group := func(name string) string {
			i := 2 * f.form.SubexpIndex(name)
			return text[from[m[i]]:from[m[i+1]]]
		}
		req := Request{Verb: OpenLot, Lot: strings.ToUpper(group("lot"))}
		if !strings.ContainsAny(req.Lot, "0123456789") || !r.good(&req, group("of"), c) {
			continue
		}
		if again := (Request{}); !r.good(&again, req.Base+req.Solid, c) || again.Base != req.Base || again.Solid != req.Solid {
			continue // the book's own name is taken for another thing
		}
		return Reading{Request: &req, Language: f.language}, true
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
