package voice

import (
	"fmt"
	"math"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
)

// labelFacts are the strength, the last day and the code that go onto a label;
// nothing when none is known. Of pieces that are kept it says that they hold alcohol
// and not how much: the strength is that of the liquid around them.
func (v Voice) labelFacts(b *kitchen.Batch) Line {
	vals := values{"abv": v.strength(b.ABVLow, b.ABVHigh), "use": day(b.UseBy), "kept": b.KeepsSolid()}
	var line Line
	switch {
	case b.ABVHigh > 0 && b.UseBy != 0:
		line = v.say("label.facts", vals)
	case b.UseBy != 0:
		line = v.say("label.useby", vals)
	case b.ABVHigh > 0:
		line = v.say("label.strength", vals)
	}
	if b.Latest != 0 && b.UseBy == b.Latest {
		line = v.sentence(line, v.say("label.shortened", nil))
	}
	return line
}

// sentence adds a sentence to a line.
func (v Voice) sentence(line, more Line) Line {
	if len(line) > 0 && len(more) > 0 {
		line = line.with(Piece{Text: " "})
	}
	return line.with(more...)
}

// strength gives a strength as a cook says it, with its ends where they differ.
func (v Voice) strength(low, high float64) string {
	middle := fmt.Sprintf("%.0f %%", math.Round((low+high)/2))
	if high-low < 1.5 {
		return middle
	}
	return v.word("label.band", values{"middle": middle, "low": whole(low), "high": whole(high)})
}

// labelMessage is the whole label of a batch in a message.
func (v Voice) labelMessage(b *kitchen.Batch) Message {
	l := b.Label()
	var plain Line
	if l.Plain {
		plain = v.say("label.plain", nil)
	}
	return message(v.labelLine(b), v.labelFacts(b), v.say("label.made of", values{"list": v.ingredients(l)}), v.tells(l),
		v.sentence(v.labelOrigin(b, l), plain), v.say("safe.label", nil))
}

// code gives the batch code that goes onto a label.
func (v Voice) code(b *kitchen.Batch) Line {
	if b.Code == "" {
		return nil
	}
	return v.say("label.code", values{"code": b.Code})
}

// may says what may be in a batch by what its vessel carried.
func (v Voice) may(b *kitchen.Batch) Line {
	list := v.toldAllergens(b.Label(), true)
	if len(list) == 0 {
		return nil
	}
	return v.say("label.may", values{"allergens": strings.Join(list, ", ")})
}

// shortenedLine says which batches are to be gone sooner, for they had no label when
// the day was signed; nothing when there are none.
func (v Voice) shortenedLine(k *kitchen.Kitchen) Line {
	var names []string
	var last kitchen.Moment
	for _, b := range k.Open() {
		if b.WaitsForLabel() && b.Latest != 0 && b.UseBy == b.Latest {
			names, last = append(names, b.Vessel+" "+b.Title), b.Latest
		}
	}
	if len(names) == 0 {
		return nil
	}
	return v.say("label.shortened.all", values{"names": v.names(names), "use": day(last)})
}

// labelOrigin says under which code a batch was made, when and by whom.
func (v Voice) labelOrigin(b *kitchen.Batch, l kitchen.Label) Line {
	vals := values{"at": l.Made.Done, "by": l.Made.By, "kept": l.Product == book.SolidKept}
	line := v.sentence(v.code(b), v.say("label.by", vals))
	if l.Strained != nil {
		vals["at"], vals["by"] = l.Strained.Done, l.Strained.By
		line = v.sentence(line, v.say("label.strained", vals))
	}
	return line
}

// ingredients lists what went in. What brings an allergen stands out by capitals and
// weight, with the law's word behind it.
func (v Voice) ingredients(l kitchen.Label) Line {
	var line Line
	for i, x := range l.Ingredients {
		if i > 0 {
			line = line.with(Piece{Text: ", "})
		}
		name := v.term(x.Name)
		var words []string
		for _, told := range l.Contains.Listed {
			for _, from := range told.From {
				if from == x.Name {
					words = append(words, v.allergen(told.Key, told.Word))
				}
			}
		}
		for _, told := range l.Contains.Also {
			for _, from := range told.From {
				if from == x.Name {
					words = append(words, v.term(told.Key))
				}
			}
		}
		if len(words) > 0 {
			name = strings.ToUpper(name)
			if said := strings.ToUpper(strings.Join(words, ", ")); said != name {
				name += " (" + said + ")"
			}
		}
		line = line.with(Piece{Text: name, Strong: len(words) > 0})
		if x.Lot != "" {
			line = line.with(v.say("label.lot", values{"lot": x.Lot})...)
		}
	}
	return line
}

// tells says which allergens a batch contains and may contain; nothing when none are
// known. It never says that one is not in it.
func (v Voice) tells(l kitchen.Label) Line {
	var line Line
	if list := v.toldAllergens(l, false); len(list) > 0 {
		line = v.say("label.contains", values{"allergens": strings.Join(list, ", ")})
	}
	if list := v.toldAllergens(l, true); len(list) > 0 {
		line = v.sentence(line, v.say("label.may", values{"allergens": strings.Join(list, ", ")}))
	}
	return line
}

// toldAllergens gives the allergens of a label, by the law's words, with what brings
// them: the laws want the nut, the fish or the grain named.
func (v Voice) toldAllergens(l kitchen.Label, may bool) []string {
	from := l.Contains
	if may {
		from = l.May
	}
	var list []string
	for i, told := range append(from.Listed[:len(from.Listed):len(from.Listed)], from.Also...) {
		word := v.term(told.Key)
		if i < len(from.Listed) {
			word = v.allergen(told.Key, told.Word)
		}
		var bring []string
		for _, x := range told.From {
			if !may && x != l.Title && v.term(x) != word {
				bring = append(bring, v.term(x))
			}
		}
		if len(bring) > 0 {
			word += " (" + strings.Join(bring, ", ") + ")"
		}
		list = append(list, word)
	}
	return list
}

// allergen gives the law's word for an allergen; in a language that has none of its
// own for it the book's.
func (v Voice) allergen(key, word string) string {
	if own := v.term(word); own != word || len(v.words) == 0 {
		return own
	}
	return v.term(key)
}

// LabelText is a label in words, for paper.
type LabelText struct {
	Language string // by its tag
	Title    string
	Amount   string
	Use      LabelField // the last day
	Fields   []LabelField
	Code     string
	Notes    []string
}

// LabelField is one line of a label under its caption.
type LabelField struct {
	Caption string
	Line    Line
	Heavy   bool // allergens
	Wide    bool // takes a line of its own
}

// Label words a label in full.
func (v Voice) Label(l kitchen.Label) LabelText {
	solid := l.Product == book.SolidKept
	t := LabelText{Language: v.tag.String(), Title: v.term(l.Title), Code: l.Code}
	if l.Yield > 0 && !solid || l.Drained > 0 && solid {
		t.Amount = v.cameOut(solid, l.Yield, l.Drained)
	}
	t.Use = LabelField{Caption: v.word("label.field.use", nil), Line: v.say("label.unknown", nil)}
	if l.UseBy != 0 {
		t.Use.Line = Line{{Text: v.date(l.UseBy.Time().In(v.zone))}}
	}
	add := func(caption phrase, heavy bool, line Line) {
		if len(line) > 0 {
			t.Fields = append(t.Fields, LabelField{Caption: v.word(caption, kept(solid)), Line: line, Heavy: heavy, Wide: heavy || caption == "label.field.in"})
		}
	}
	text := func(list []string) Line {
		if len(list) == 0 {
			return nil
		}
		return Line{{Text: strings.Join(list, ", "), Strong: true}}
	}
	add("label.field.in", false, v.ingredients(l))
	add("label.field.contains", true, text(v.toldAllergens(l, false)))
	add("label.field.may", true, text(v.toldAllergens(l, true)))
	if l.Alcohol {
		add("label.field.alcohol", false, v.say("label.strength", values{"abv": v.strength(l.ABVLow, l.ABVHigh), "kept": solid}))
	}
	add("label.field.storage", false, Line{{Text: v.term(l.Storage)}})
	add("label.field.made", false, v.markOf(&l.Made))
	add("label.field.strained", false, v.markOf(l.Strained))
	if l.Shortened {
		t.Notes = append(t.Notes, v.word("label.shortened", nil))
	}
	if l.Plain {
		t.Notes = append(t.Notes, v.word("label.plain", nil))
	}
	return t
}

// markOf says when a thing was done and by whom.
func (v Voice) markOf(m *kitchen.Mark) Line {
	if m == nil {
		return nil
	}
	line := v.fill(day(m.Done), false, false).with(Piece{Text: " "}).with(v.fill(m.Done, false, false)...)
	return line.with(Piece{Text: ", "}).with(v.fill(m.By, false, false)...)
}
