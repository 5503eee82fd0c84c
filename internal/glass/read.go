package glass

import (
	"slices"
	"strconv"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// Read reads a drink from one line: "60 rhubarb gin, 10 syrup 1:1, 20 lemon,
// stirred". Each part has its volume before or after its name, in millilitres
// unless a unit is said; a percentage beside a part is its strength. Without a
// method it counts as poured.
func Read(line string, b *book.Book) (Drink, *Problem) {
	r := newReader(b)
	d, p := r.read(line)
	if p != nil {
		p.Example = r.example()
	}
	return d, p
}

// reader is one line being read.
type reader struct {
	book     *book.Book
	names    []named
	poured   []measured
	method   Method
	ice      bool // the line says ice and maybe no method
	dilution float64
	problem  *Problem // the first one
}

// measured is one part with what was said of it.
type measured struct {
	named
	amount
	stated *float64 // its strength, when the line says one
	text   string   // as typed
	volume quantity.Volume
}

func newReader(b *book.Book) *reader {
	if b == nil {
		b = &book.Book{}
	}
	return &reader{book: b, names: namesOf(b)}
}

func (r *reader) read(line string) (Drink, *Problem) {
	if len(line) > longestLine {
		return Drink{}, &Problem{Code: LineTooLong}
	}
	for _, toks := range pieces(scan(line)) {
		r.piece(line, toks)
	}
	if r.ice && r.method == AsPoured {
		r.method = Built
	}
	r.measure()
	switch {
	case r.problem != nil:
	case len(r.poured) == 0:
		r.fail(Problem{Code: NothingPoured})
	case len(r.poured) > mostParts:
		r.fail(Problem{Code: TooManyParts})
	}
	if r.problem != nil {
		return Drink{}, r.problem
	}
	return r.drink()
}

// fail notes a problem; the first one is told.
func (r *reader) fail(p Problem) {
	if r.problem == nil {
		r.problem = &p
	}
}

// pieces cuts a line at its separators, and at an "and" before the next part.
func pieces(toks []token) [][]token {
	var all [][]token
	from := 0
	cut := func(to int) {
		if to > from {
			all = append(all, toks[from:to])
		}
		from = to + 1
	}
	for i, t := range toks {
		if t.kind == separator || t.kind == word && t.text == "and" && i+1 < len(toks) && begins(toks[i+1:]) {
			cut(i)
		}
	}
	cut(len(toks))
	return all
}

// begins reports whether the tokens can begin a part or say a method.
func begins(toks []token) bool {
	_, _, measured := amountAt(toks, 0)
	_, method := methodWords[toks[0].text]
	return measured || method || dilutionWords[toks[0].text]
}

// piece reads what stands between two separators: a part, a method, a dilution,
// or several parts without a comma between them.
func (r *reader) piece(line string, toks []token) {
	if slices.ContainsFunc(toks, func(t token) bool { return dilutionWords[t.text] }) {
		r.diluted(line, toks)
		return
	}
	if m, ok := r.exact(toks); ok {
		r.poured = append(r.poured, m.typed(line, toks))
		return
	}
	toks = r.methods(toks)
	for _, run := range runs(toks) {
		r.part(line, run)
	}
}

// methods takes the words for a method out of a piece.
func (r *reader) methods(toks []token) []token {
	kept := make([]token, 0, len(toks))
	for _, t := range toks {
		m, ok := methodWords[t.text]
		switch {
		case !ok || t.kind != word:
			kept = append(kept, t)
		case t.text == iced:
			r.ice = true
		case r.method != AsPoured && r.method != m:
			r.fail(Problem{Code: TwoMethods, Word: t.text})
		default:
			r.method = m
		}
	}
	if !slices.ContainsFunc(kept, func(t token) bool { return t.kind != word || !asides[t.text] }) {
		return nil
	}
	return kept
}

// diluted reads "dilution 25%", "25% dilution" and "no dilution".
func (r *reader) diluted(line string, toks []token) {
	said, none := []float64(nil), false
	for _, t := range toks {
		switch {
		case t.kind == number || t.kind == percent:
			said = append(said, t.value)
		case t.text == "no":
			none = true
		}
	}
	if none && len(said) == 0 {
		return
	}
	if len(said) != 1 || !(said[0] >= 0 && said[0] <= mostDilution) {
		r.fail(Problem{Code: BadDilution, Word: typed(line, toks)})
		return
	}
	r.method, r.dilution, r.ice = ByFigure, said[0], false
}

func typed(line string, toks []token) string {
	return line[toks[0].at:toks[len(toks)-1].end]
}

// runs cuts a piece that holds several parts: at every number that a name
// stands before and after.
func runs(toks []token) [][]token {
	if len(toks) == 0 {
		return nil
	}
	if _, _, leads := amountAt(toks, 0); !leads {
		return [][]token{toks}
	}
	var all [][]token
	from := 0
	for i := 1; i+1 < len(toks); i++ {
		if toks[i].kind == number && toks[i-1].kind != number && toks[i+1].kind == word && saysName(toks[from:i]) {
			all = append(all, toks[from:i])
			from = i
		}
	}
	return append(all, toks[from:])
}

// saysName reports whether something beside the amount is said.
func saysName(toks []token) bool {
	_, next, _ := amountAt(toks, 0)
	return next < len(toks)
}

// example gives a line that works: what was understood of this one, else one
// of the book, else of our own ingredients.
func (r *reader) example() string {
	usual := "20 ml lemon juice, 10 ml syrup 1:1, " + string(Stirred)
	lines := []string{r.understood()}
	if len(r.book.Recipes) > 0 {
		lines = append(lines, "60 ml "+r.book.Recipes[0].Name+", "+usual)
	}
	for _, line := range lines {
		again := &reader{book: r.book, names: r.names}
		if _, p := again.read(line); p == nil {
			return line
		}
	}
	return usual
}

// understood writes the parts that have a name, with 30 ml for a volume that
// cannot be, and the method.
func (r *reader) understood() string {
	var words []string
	for _, m := range r.poured[:min(len(r.poured), mostParts)] {
		volume := m.volume
		if !pourable(volume) {
			volume = 30 * quantity.Millilitre
		}
		p := pour{name: m.title(), volume: volume}
		if m.stated != nil && isStrength(*m.stated) {
			p.stated, p.strength = true, exactly(*m.stated)
		}
		words = append(words, p.line())
	}
	switch {
	case r.method == ByFigure:
		words = append(words, "dilution "+plain(r.dilution)+"%")
	case r.method != AsPoured:
		words = append(words, string(r.method))
	}
	return strings.Join(words, ", ")
}

// plain writes a figure without idle zeros, to a tenth.
func plain(v float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
}
