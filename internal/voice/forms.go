package voice

import (
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
)

// mostOptions is how many a field may offer; with more it is typed into.
const mostOptions = 100

// Form words the form that an answer opens.
func (v Voice) Form(k *kitchen.Kitchen, b *book.Book, a kitchen.Answer) Form {
	v = v.of(k)
	switch {
	case a.Form == kitchen.FormReading:
		return v.readingForm(k, a)
	case a.Form == kitchen.FormSign:
		return v.signForm(a)
	case slices.Contains(bookForms, a.Form):
		return v.entryForm(b, a)
	}
	return v.startForm(k, b)
}

// formTyped says what to type where no form can be opened.
func (v Voice) formTyped(a kitchen.Answer) Message {
	vals := values{"line": a.Line, "vessel": a.Vessel}
	switch {
	case slices.Contains(bookForms, a.Form):
		return message(v.say("form.typed.book", nil))
	case a.Form == kitchen.FormSign:
		return message(v.say("form.typed.sign", nil))
	case a.Form == kitchen.FormStart, a.Line == "":
		return message(v.say("help.start", nil))
	case a.Vessel != "":
		return message(v.say("form.typed.batch", vals))
	}
	return message(v.say("form.typed", vals))
}

// startForm asks what to start.
func (v Voice) startForm(k *kitchen.Kitchen, b *book.Book) Form {
	recipe := v.field(kitchen.FieldRecipe, "form.recipe", "")
	recipe.Options = recipes(b)
	if len(recipe.Options) == 0 {
		recipe.Hint = v.word("form.recipe.hint", nil)
	}
	volume := v.field(kitchen.FieldVolume, "form.volume", "form.volume.hint")
	vessel := v.field(kitchen.FieldVessel, "form.vessel", "form.vessel.hint")
	vessel.Options = v.vessels(k, b)
	more := v.field(kitchen.FieldMore, "form.more", "form.more.hint")
	volume.Optional, vessel.Optional, more.Optional = true, true, true
	return Form{
		Name: string(kitchen.FormStart), Title: v.word("form.start", nil),
		Submit: v.word("form.start.submit", nil), Back: v.word("button.back", nil),
		Fields: []Field{recipe, volume, vessel, more},
	}
}

// readingForm shows how a line was read, to be corrected.
func (v Voice) readingForm(k *kitchen.Kitchen, a kitchen.Answer) Form {
	line := v.field(kitchen.FieldLine, "form.line", "form.line.hint")
	line.Value = a.Line
	f := Form{
		Name: string(kitchen.FormReading), Title: v.word("form.reading", nil),
		Submit: v.word("form.reading.submit", nil), Back: v.word("button.back", nil),
		Fields: []Field{line},
	}
	if b := k.Batches[a.Batch]; b != nil {
		f.Carry = b.Carry()
		f.Lines = []Line{v.say("form.reading.batch", v.about(b))}
	}
	return f
}

func (v Voice) field(id string, label, hint phrase) Field {
	f := Field{ID: id, Label: v.word(label, nil)}
	if hint != "" {
		f.Hint = v.word(hint, nil)
	}
	return f
}

// recipes offers the recipes of the book by title; none where there are too many.
func recipes(b *book.Book) []Option {
	var list []Option
	for _, r := range b.Recipes {
		list = append(list, Option{Value: r.Name, Label: r.Name})
	}
	return sorted(list)
}

// sorted gives options by their labels; none where there are too many.
func sorted(list []Option) []Option {
	if len(list) > mostOptions {
		return nil
	}
	slices.SortFunc(list, func(x, y Option) int { return strings.Compare(x.Label, y.Label) })
	return list
}

// vessels offers the vessels of the book with their state; none where there
// are too many.
func (v Voice) vessels(k *kitchen.Kitchen, b *book.Book) []Option {
	var list []Option
	for _, vessel := range b.Vessels {
		state, _ := k.Look(vessel.Tag)
		list = append(list, Option{Value: vessel.Tag, Label: v.word("form.vessel.one", values{
			"vessel": vessel.Tag, "volume": v.amount(vessel.Nominal), "state": v.word(phrase("state."+string(state)), nil),
		})})
	}
	if len(list) > mostOptions {
		return nil
	}
	return list
}
