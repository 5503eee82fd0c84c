package kitchen

import (
	"cmp"
	"errors"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"ventbell/internal/book"
)

// mayEdit refuses what the kitchen cannot have changed now.
func (s *scene) mayEdit(e entryForm) *Answer {
	if e.part == book.PartVessels && e.stands != "" {
		was, err := book.Values(e.stands)
		_, b := s.Look(e.name)
		other := func(key string) bool { return strings.TrimSuffix(was[key], "false") != e.values[key] }
		if c := s.CreamIn(e.name); err == nil && c != nil && (e.remove || slices.ContainsFunc(measured, other)) {
			a := s.refuseCream(c, Refuse, RefuseCream, Mark{By: c.By, Done: c.Since})
			return &a
		}
		if err == nil && b != nil && (e.remove || slices.ContainsFunc(measured, other)) {
			a := s.refuse(b, RefuseInUse)
			return &a
		}
	}
	_, edited := s.Edits[entryKey(e.part, e.name)]
	if !edited && len(s.Edits) >= editsAtMost {
		return &Answer{Kind: Refuse, Code: RefuseBookFull, Title: e.name, Private: true}
	}
	return nil
}

// rewritten gives the entry's new YAML; empty when it is taken out.
func (s *scene) rewritten(e entryForm) (string, *Answer) {
	if e.remove {
		if e.part == book.PartHouse || e.stands == "" {
			a := badForm("")
			return "", &a
		}
		return "", nil
	}
	yaml, err := book.Rewrite(e.from, e.values, s.source())
	if err == nil && e.form == FormRecipe {
		var refused *Answer
		if yaml, refused = s.recipe(yaml); refused != nil {
			return "", refused
		}
	}
	switch {
	case err != nil:
		a := badForm("")
		return "", &a
	case e.same(yaml):
		return "", &Answer{Kind: Refuse, Code: RefuseSame, Title: e.name, Private: true}
	case len(yaml) > editBytes:
		return "", &Answer{Kind: Refuse, Code: RefuseBookFull, Title: e.name, Private: true}
	}
	return yaml, nil
}

// same says that an entry says what it said before.
func (e entryForm) same(yaml string) bool {
	was, err1 := book.Values(e.stands)
	is, err2 := book.Values(yaml)
	return err1 == nil && err2 == nil && maps.Equal(was, is)
}

// recipe looks a recipe over, and adds the allergens that its solid and its
// base bring: no form can leave them out.
func (s *scene) recipe(yaml string) (string, *Answer) {
	values, err := book.Values(yaml)
	if err != nil {
		a := badForm("")
		return "", &a
	}
	r := book.Recipe{
		Solid: values["solid"], Base: values["base"], Product: book.Product(values["product"]), ClearWith: values["clear_with"],
	}
	if refused := s.goods(r); refused != nil {
		return "", refused
	}
	told := strings.FieldsFunc(values["allergens"], func(r rune) bool { return r == ',' || unicode.IsSpace(r) })
	all := slices.Clone(told)
	for _, a := range s.book.AllergensOf(r.Solid, r.Base) {
		if !slices.Contains(all, a) {
			all = append(all, a)
		}
	}
	if len(all) == len(told) {
		return yaml, nil
	}
	yaml, err = book.Rewrite(yaml, map[string]string{"allergens": strings.Join(all, ", ")}, s.source())
	if err != nil {
		a := badForm("")
		return "", &a
	}
	return yaml, nil
}

// save writes an entry anew if the book with it is one, and says what stands
// in the way if it is not.
func (s *scene) save(e entryForm, yaml string) Answer {
	k := Edit{V: version, Edit: book.Edit{Part: e.part, Name: e.name, YAML: yaml}, By: s.cmd.By, At: s.now, N: s.Head.Edition + 1}
	b, err := amended(s.book, []Edit{k})
	if err != nil {
		return s.faulty(e, err)
	}
	s.Head.Edition = k.N
	s.Edits[entryKey(e.part, e.name)] = k
	if e.part == book.PartHouse {
		s.Head.Language = b.House.Language
	}
	s.log(nil, EditEvent, "part", string(e.part), "name", e.name, "edition", strconv.FormatUint(uint64(k.N), 10), "before", e.stands, "after", yaml)
	a := Answer{Kind: Saved, Form: e.form, Title: e.name, N: int(k.N), Who: s.cmd.By, At: s.now, Private: true}
	if e.form == FormPrice && e.part == book.PartHouse {
		a.Title = ""
	}
	if a.Gone = yaml == ""; !a.Gone {
		a.Findings = findings(s.book, b, e.name)
	}
	return a
}

// findings gives what is to be mended about an entry that was not before, a
// few of it.
func findings(was, is *book.Book, name string) []book.FindingCode {
	had := map[book.Finding]bool{}
	for _, f := range book.Check(was) {
		f.Line = 0
		had[f] = true
	}
	var list []book.FindingCode
	for _, f := range book.Check(is) {
		if f.Line = 0; !had[f] && (f.What == name || name == "") && len(list) < findingsAtMost {
			list = append(list, f.Code)
		}
	}
	return list
}

// findingsAtMost is how many findings an answer tells of; `check` tells all.
const findingsAtMost = 3

// faulty says which field of a form keeps the book from being one.
func (s *scene) faulty(e entryForm, err error) Answer {
	var fault *book.LineError
	if !errors.As(err, &fault) {
		return Answer{Kind: Refuse, Code: RefuseBookFull, Title: e.name, Private: true}
	}
	key, missing := fault.Key()
	for _, f := range append([]EntryField{{Key: "price", Like: priceLike[e.part]}, {Key: "charger_price", Like: priceLike[e.part]}}, EntryFields(e.form)...) {
		switch {
		case f.Key != key:
		case key == "charger_price":
			return Answer{Kind: Refuse, Code: RefuseValue, Field: "price", Line: f.Like, Private: true}
		case missing:
			return badForm(key)
		case key == "temp" && strings.Contains(fault.Said, "above"):
			return Answer{Kind: Refuse, Code: RefuseHeat, Field: key, Private: true}
		default:
			return Answer{Kind: Refuse, Code: RefuseValue, Field: key, Line: cmp.Or(f.Like, strings.Join(f.Choices, ", ")), Private: true}
		}
	}
	return Answer{Kind: Refuse, Code: RefuseEntry, Title: e.name, Private: true}
}

// priceLike is how a price is written, by what it is of.
var priceLike = map[book.Part]string{book.PartLiquids: "24.00/l", book.PartBotanicals: "8.50/kg", book.PartHouse: "0.70"}

// source says who sets a figure, and when, as the book's file has it.
func (s *scene) source() string {
	return plainName(s.cmd.By) + ", " + s.now.Time().In(s.zone).Format("2 Jan 2006")
}

// plainName gives a person's name as it stands in the book.
func plainName(p Person) string {
	plain := func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune(" -_.", r) {
			return r
		}
		return ' '
	}
	name := []rune(oneLine(strings.Map(plain, cmp.Or(p.Name, p.ID))))
	return strings.Trim(string(name[:min(len(name), 40)]), " -.")
}
