package voice

import (
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
)

// bookForms are the forms that change the book.
var bookForms = []kitchen.FormName{
	kitchen.FormChoose, kitchen.FormRecipe, kitchen.FormVessel, kitchen.FormPrice, kitchen.FormHouse,
}

// entryForm words a form that changes the book.
func (v Voice) entryForm(b *book.Book, a kitchen.Answer) Form {
	f := Form{
		Name: string(a.Form), Title: v.word("form.house", nil), Submit: v.word("form.entry.submit", nil),
		Back: v.word("button.back", nil), Carry: a.EntryCarry(),
	}
	switch {
	case a.Form == kitchen.FormChoose:
		return v.chooseForm(f, b, kitchen.FormName(a.Line))
	case a.Form == kitchen.FormPrice:
		return v.priceForm(f, b, a.Line)
	case a.Form == kitchen.FormHouse:
		f.Lines = []Line{v.say("form.house.about", nil)}
	case a.Line == "":
		f.Title, f.Lines = v.word(newEntry[a.Form], nil), []Line{v.say(newAbout[a.Form], nil)}
	default:
		f.Title, f.Lines = v.word(changeEntry[a.Form], nil), []Line{v.say("form.entry.about", values{"title": a.Line})}
	}
	f.Fields = v.entryFields(b, a)
	return f
}

var (
	newEntry    = map[kitchen.FormName]phrase{kitchen.FormRecipe: "form.new.recipe", kitchen.FormVessel: "form.new.vessel"}
	newAbout    = map[kitchen.FormName]phrase{kitchen.FormRecipe: "form.new.recipe.about", kitchen.FormVessel: "form.new.vessel.about"}
	changeEntry = map[kitchen.FormName]phrase{kitchen.FormRecipe: "form.change.recipe", kitchen.FormVessel: "form.change.vessel"}
)

// entryFields shows an entry as it stands. Of a new recipe the words that it
// must have are begun, and the rest is left to what it is like.
func (v Voice) entryFields(b *book.Book, a kitchen.Answer) []Field {
	fresh := a.Line == "" && a.Form != kitchen.FormHouse
	stands := map[string]string{}
	if fresh && a.Form == kitchen.FormRecipe {
		for key, begun := range map[string]phrase{"prep": "entry.prep.begun", "choose": "entry.choose.begun", "use": "entry.use.begun"} {
			stands[key] = v.word(begun, nil)
		}
	} else if values, err := book.Values(book.EntryText(b.Text, kitchen.PartOf(a.Form), a.Line)); err == nil && !fresh {
		stands = values
	}
	var fields []Field
	for _, e := range kitchen.EntryFields(a.Form) {
		if e.Fresh && !fresh {
			continue
		}
		fields = append(fields, v.entryField(b, e, stands[e.Key]))
	}
	switch {
	case fresh && a.Form == kitchen.FormRecipe:
		like := v.field(kitchen.FieldLike, "entry.like", "entry.like.hint")
		like.Options, like.Optional = recipes(b), true
		fields = slices.Insert(fields, 3, like)
	case !fresh && a.Form != kitchen.FormHouse:
		remove := v.field(kitchen.FieldRemove, "entry.remove", "entry.remove.hint")
		remove.Options, remove.Value = v.choicesOf([]string{"true", "false"}), "false"
		fields = append(fields, remove)
	}
	return fields
}

// entryField shows one key of an entry.
func (v Voice) entryField(b *book.Book, e kitchen.EntryField, value string) Field {
	f := Field{ID: e.Key, Label: v.word(phrase("entry."+e.Key), nil), Value: value, Optional: !e.Must}
	switch {
	case e.Key == "solid":
		f.Options = solids(b)
	case e.Key == "base":
		f.Options = bases(b)
	default:
		f.Options = v.choicesOf(e.Choices)
	}
	switch {
	case slices.Contains(e.Choices, "false") && value == "":
		f.Value = "false"
	case len(f.Options) > 0 || e.Like == "":
	case strings.Count(e.Like, ",") == 2:
		f.Hint = v.word("entry.hint.limits", values{"like": e.Like})
	default:
		f.Hint = v.word("entry.hint", values{"like": e.Like})
	}
	if value != "" && len(f.Options) > 0 && !slices.ContainsFunc(f.Options, func(o Option) bool { return o.Value == value }) {
		f.Options = append([]Option{{Value: value, Label: value}}, f.Options[:min(len(f.Options), mostOptions-1)]...)
	}
	return f
}

// choicesOf offers the words that the book knows for a thing.
func (v Voice) choicesOf(words []string) []Option {
	var list []Option
	for _, w := range words {
		list = append(list, Option{Value: w, Label: v.choice(w)})
	}
	return list
}

// choice gives a word of the book's closed lists. A language is called as it
// calls itself.
func (v Voice) choice(word string) string {
	switch word {
	case "true", "yes":
		return v.word("choose.yes", nil)
	case "false", "no":
		return v.word("choice.no", nil)
	case "en":
		return "English"
	case "es":
		return "Español"
	case "fr":
		return "Français"
	case "fridge", "shelf":
		return v.term(word)
	}
	return v.word(phrase("choice."+word), nil)
}

// chooseForm asks which entry to change.
func (v Voice) chooseForm(f Form, b *book.Book, next kitchen.FormName) Form {
	which, there := v.field(kitchen.FieldWhich, "entry.which", ""), len(b.Recipes)
	options := recipes(b)
	if next == kitchen.FormVessel {
		options, there = nil, len(b.Vessels)
		for _, vessel := range b.Vessels {
			options = append(options, Option{Value: vessel.Tag, Label: vessel.Tag + ", " + v.amount(vessel.Nominal)})
		}
	}
	if there < mostOptions {
		which.Options = append([]Option{{Value: kitchen.NewEntry, Label: v.word("entry.new", nil)}}, options...)
	} else {
		which.Hint = v.word("entry.which.hint", values{"new": kitchen.NewEntry})
	}
	f.Title, f.Submit, f.Fields = v.word(changeEntry[next], nil), v.word("form.choose.submit", nil), []Field{which}
	return f
}

// priceForm asks what costs how much.
func (v Voice) priceForm(f Form, b *book.Book, name string) Form {
	which := v.field(kitchen.FieldWhich, "entry.which", "")
	which.Options = []Option{{Value: kitchen.ChargerPrice, Label: v.word("entry.charger", nil)}}
	for _, l := range b.Liquids {
		which.Options = append(which.Options, Option{Value: l.Name, Label: v.term(l.Name)})
	}
	for _, s := range b.Botanicals {
		if s.Refused == "" {
			which.Options = append(which.Options, Option{Value: s.Name, Label: v.term(s.Name)})
		}
	}
	if which.Value = name; len(which.Options) > mostOptions {
		which.Options, which.Hint = nil, v.word("entry.which.price.hint", values{"charger": kitchen.ChargerPrice})
	}
	price := v.field("price", "entry.price", "entry.price.hint")
	price.Optional = true
	f.Title, f.Fields = v.word("form.price", nil), []Field{which, price}
	return f
}

// solids offers what may be infused, by name; none where there are too many.
func solids(b *book.Book) []Option {
	var list []Option
	for _, s := range b.Botanicals {
		if s.Refused == "" {
			list = append(list, Option{Value: s.Name, Label: s.Name})
		}
	}
	return sorted(list)
}

// bases offers the liquids, by name; none where there are too many.
func bases(b *book.Book) []Option {
	var list []Option
	for _, l := range b.Liquids {
		list = append(list, Option{Value: l.Name, Label: l.Name})
	}
	return sorted(list)
}

// savedAnswer says that the book was changed, and what is worth a look since.
func (v Voice) savedAnswer(a kitchen.Answer) Message {
	vals := values{"title": v.entryTitle(a), "n": a.N}
	if a.Gone {
		return message(v.say("saved.gone", vals))
	}
	m := message(v.say("saved", vals))
	for _, code := range a.Findings {
		p, worded := findings[code]
		if !worded {
			p = "finding.other"
		}
		if line := v.say(p, vals); !slices.ContainsFunc(m.Lines, func(l Line) bool { return l.Plain() == line.Plain() }) {
			m.Lines = append(m.Lines, line)
		}
	}
	return m
}

// findings are the sentences for what is worth mending about an entry, by code.
var findings = map[book.FindingCode]phrase{
	"no limit": "finding.limit", "no brim": "finding.brim", "no stamped pressure": "finding.stamp", "no material": "finding.material",
	"no head": "finding.head", "plastic head": "finding.plastic",
	"short contact": "finding.contact", "rest over contact": "finding.contact", "fits no vessel": "finding.fits",
	"too many chargers": "finding.chargers", "odd ratio": "finding.ratio", "wrong storage": "finding.storage", "alias twice": "finding.alias",
	"no state": "finding.place", "not answered": "finding.place", "no currency": "finding.currency",
}

// aboutBook are the refusals that name an entry, which may be the house itself.
var aboutBook = []kitchen.Code{
	kitchen.RefuseNoEntry, kitchen.RefuseTwice, kitchen.RefuseOldForm, kitchen.RefuseNever, kitchen.RefuseNoClass,
	kitchen.RefuseEntry, kitchen.RefuseSame, kitchen.RefuseBookFull,
}

// entryTitle names what a form changed.
func (v Voice) entryTitle(a kitchen.Answer) string {
	switch {
	case a.Title != "":
		return a.Title
	case a.Form == kitchen.FormPrice:
		return v.word("entry.charger", nil)
	}
	return v.word("form.house", nil)
}

// pageBook is a manager's way to the book, on their own page.
func (v Voice) pageBook(k *kitchen.Kitchen) Message {
	open := func(label phrase, form kitchen.FormName, line string) Button {
		return Button{Label: v.word(label, nil), Tap: kitchen.Tap{Line: line, With: "form:" + string(form)}}
	}
	return message(v.say("home.book", values{"n": k.Head.Edition})).with(
		open("button.recipes", kitchen.FormChoose, string(kitchen.FormRecipe)),
		open("button.vessels", kitchen.FormChoose, string(kitchen.FormVessel)),
		open("button.prices", kitchen.FormPrice, ""),
		open("button.house", kitchen.FormHouse, ""),
	)
}

// of gives the voice that a kitchen's house asked for when it was last changed;
// else v itself.
func (v Voice) of(k *kitchen.Kitchen) Voice {
	if k == nil {
		return v
	}
	return v.in(k.Head.Language)
}
