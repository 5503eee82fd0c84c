package kitchen

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ventbell/internal/book"
)

// entryForm is a form that changes one entry of the book, being carried out.
type entryForm struct {
	form   FormName
	part   book.Part
	name   string // as it stands in the book; of a new entry as it was typed
	stands string // the entry's YAML as it stands; empty = a new one
	from   string // the YAML that values change: what stands, or what a new one is like
	values map[string]string
	remove bool
}

// manages says that the one who speaks is a manager.
func (s *scene) manages() bool {
	return s.Head.Team.Manages(s.cmd.By)
}

// changesBook says that a form is one of those that change the book.
func changesBook(f FormName) bool {
	return slices.Contains([]FormName{FormChoose, FormRecipe, FormVessel, FormPrice, FormHouse}, f)
}

// PartOf gives the part of the book that a form changes an entry of.
func PartOf(f FormName) book.Part {
	switch f {
	case FormRecipe:
		return book.PartRecipes
	case FormVessel:
		return book.PartVessels
	}
	return book.PartHouse
}

// openEntry opens a form that changes the book: the entry with that name, or a
// new one. To choose among entries, name says by which form they change.
func (s *scene) openEntry(f FormName, name string) Answer {
	a := Answer{Kind: OpenForm, Form: f, Line: name, Who: s.cmd.By, Private: true}
	part := PartOf(f)
	switch {
	case f == FormHouse:
		a.Line = ""
	case f == FormChoose && FormName(name) != FormRecipe && FormName(name) != FormVessel:
		return badForm("")
	case f == FormRecipe && name != "" || f == FormVessel && name != "":
		var there bool
		if a.Line, there = s.entryName(part, name); !there {
			return Answer{Kind: Refuse, Code: RefuseNoEntry, Title: name, Field: FieldWhich, Private: true}
		}
	}
	a.N = int(s.edition(part, a.Line))
	return a
}

// entryName gives an entry's name as it stands in the book.
func (s *scene) entryName(part book.Part, name string) (string, bool) {
	switch part {
	case book.PartRecipes:
		r, ok := s.book.Recipe(name)
		return r.Name, ok
	case book.PartVessels:
		v, ok := s.book.Vessel(name)
		return v.Tag, ok
	case book.PartLiquids:
		l, ok := s.book.Liquid(name)
		return l.Name, ok
	case book.PartBotanicals:
		b, ok := s.book.Botanical(name)
		return b.Name, ok
	}
	return "", part == book.PartHouse
}

// EntryCarry gives what a form that changes the book carries, from the answer that
// opens it: which entry, as of which edit.
func (a Answer) EntryCarry() string {
	if a.Form == FormChoose {
		return a.Line
	}
	return fmt.Sprintf("%d %s", a.N, a.Line)
}

// chosen opens the form of the entry that was chosen.
func (s *scene) chosen(f Filled) Answer {
	which := oneLine(f.Fields[FieldWhich])
	switch which {
	case "":
		return badForm(FieldWhich)
	case NewEntry:
		which = ""
	}
	if form := FormName(f.Carry); form == FormRecipe || form == FormVessel {
		return s.openEntry(form, which)
	}
	return badForm("")
}

// entryFilled carries out a form that changes an entry of the book.
func (s *scene) entryFilled(f Filled) Answer {
	form := FormName(f.Name)
	if form == FormChoose {
		return s.chosen(f)
	}
	e, refused := s.entryOf(form, f)
	if refused != nil {
		return *refused
	}
	if refused := s.mayEdit(e); refused != nil {
		return *refused
	}
	yaml, refused := s.rewritten(e)
	if refused != nil {
		return *refused
	}
	return s.save(e, yaml)
}

// entryOf finds the entry that a form is about, and what is to stand in it.
func (s *scene) entryOf(form FormName, f Filled) (entryForm, *Answer) {
	if form == FormPrice {
		return s.priceOf(f)
	}
	number, name, ok := strings.Cut(f.Carry, " ")
	n, err := strconv.ParseUint(number, 10, 32)
	if !ok || err != nil {
		a := badForm("")
		return entryForm{}, &a
	}
	e := entryForm{form: form, part: PartOf(form), name: name, values: map[string]string{}, remove: f.Fields[FieldRemove] == "true"}
	fresh := name == "" && form != FormHouse
	for _, field := range EntryFields(form) {
		if field.Fresh && !fresh {
			continue
		}
		value := entryValue(field, f.Fields[field.Key])
		if field.Must && value == "" && !e.remove {
			a := badForm(field.Key)
			return e, &a
		}
		e.values[field.Key] = value
	}
	if fresh {
		return s.freshOf(e, oneLine(f.Fields[FieldLike]))
	}
	e.stands = book.EntryText(s.book.Text, e.part, name)
	e.from = e.stands
	last := s.Edits[entryKey(e.part, name)]
	switch {
	case e.stands == "":
		return e, &Answer{Kind: Refuse, Code: RefuseNoEntry, Title: name, Private: true}
	case uint64(last.N) != n:
		return e, &Answer{Kind: Refuse, Code: RefuseOldForm, Title: name, Who: last.By, At: last.At, Private: true}
	}
	return e, nil
}

// entryValue gives a value as the book has it.
func entryValue(f EntryField, value string) string {
	value = oneLine(value)
	switch {
	case value == "false" && slices.Equal(f.Choices, yesNo):
		return ""
	case slices.Contains([]string{"country", "state", "currency"}, f.Key):
		return strings.ToUpper(value)
	}
	return value
}

// freshOf fills a new entry up: a recipe with those of another one, or with
// the defaults of its class.
func (s *scene) freshOf(e entryForm, like string) (entryForm, *Answer) {
	e.name = cmp.Or(e.values["name"], e.values["tag"])
	if known, there := s.entryName(e.part, e.name); there {
		return e, &Answer{Kind: Refuse, Code: RefuseTwice, Title: known, Field: EntryFields(e.form)[0].Key, Private: true}
	}
	if e.form != FormRecipe || e.remove {
		return e, nil
	}
	values, source, refused := s.likeOf(e, like)
	if refused != nil {
		return e, refused
	}
	var err error
	if e.from, err = book.Rewrite("", values, source); err != nil {
		a := badForm("")
		return e, &a
	}
	for key, value := range e.values {
		if value == "" && values[key] != "" {
			delete(e.values, key) // left to what it is like
		}
	}
	return e, nil
}

// likeOf gives the values that a new recipe has of another, or of its class,
// and their source. What another one is called, contains, or may do by
// somebody's decision is its own.
func (s *scene) likeOf(e entryForm, like string) (map[string]string, string, *Answer) {
	if like != "" {
		name, there := s.entryName(book.PartRecipes, like)
		values, err := book.Values(book.EntryText(s.book.Text, book.PartRecipes, name))
		if !there || err != nil {
			return nil, "", &Answer{Kind: Refuse, Code: RefuseNoEntry, Title: like, Field: FieldLike, Private: true}
		}
		for _, own := range []string{"name", "aliases", "allergens", "override", "override_by", "override_document"} {
			delete(values, own)
		}
		return values, s.source() + ", like " + name, nil
	}
	r := book.Recipe{Solid: e.values["solid"], Base: e.values["base"], Product: book.Product(e.values["product"])}
	if refused := s.goods(r); refused != nil {
		return nil, "", refused
	}
	class, _ := s.book.ClassOf(r)
	return class.Fresh(), string(book.Estimate), nil
}

// goods refuses a recipe whose solid or base the book does not have, or never
// brings together.
func (s *scene) goods(r book.Recipe) *Answer {
	refuse := func(code Code, field, title string) *Answer {
		return &Answer{Kind: Refuse, Code: code, Field: field, Title: title, Private: true}
	}
	solid, known := s.book.Botanical(r.Solid)
	if !known {
		return refuse(RefuseNoEntry, "solid", r.Solid)
	}
	if solid.Refused != "" {
		return refuse(RefuseNever, "solid", solid.Name)
	}
	if agent, known := s.book.Botanical(r.ClearWith); known && agent.Refused != "" {
		return refuse(RefuseNever, "clear_with", agent.Name)
	}
	if _, known := s.book.Liquid(r.Base); !known {
		return refuse(RefuseNoEntry, "base", r.Base)
	}
	if _, known := s.book.ClassOf(r); !known {
		return refuse(RefuseNoClass, "base", r.Solid)
	}
	return nil
}

// priceOf reads the form that sets one price.
func (s *scene) priceOf(f Filled) (entryForm, *Answer) {
	which := oneLine(f.Fields[FieldWhich])
	e := entryForm{form: FormPrice, values: map[string]string{"price": oneLine(f.Fields["price"])}}
	switch {
	case which == ChargerPrice:
		e.part, e.values = book.PartHouse, map[string]string{"charger_price": e.values["price"]}
	case which == "":
		a := badForm(FieldWhich)
		return e, &a
	default:
		for _, e.part = range []book.Part{book.PartLiquids, book.PartBotanicals} {
			if name, there := s.entryName(e.part, which); there {
				e.name = name
				break
			}
		}
	}
	e.stands = book.EntryText(s.book.Text, e.part, e.name)
	e.from = e.stands
	if e.stands == "" || e.part != book.PartHouse && e.name == "" {
		return e, &Answer{Kind: Refuse, Code: RefuseNoEntry, Title: which, Field: FieldWhich, Private: true}
	}
	return e, nil
}
