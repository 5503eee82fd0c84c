package chat

import (
	"strings"
	"testing"

	"github.com/slack-go/slack"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// x is n letters.
func x(n int) string { return strings.Repeat("x", n) }

// edge is something of a size of its limit's choice.
type edge struct {
	name  string
	limit int
	least int // the smallest that is taken
	fits  func(n int) error
}

// edges holds every limit of a message or a view, each with what to fill up to
// it. Where drawing cuts, the drawn thing is stretched afterwards.
// Source of the figures: docs.slack.dev, Block Kit reference and modal views;
// those of the options' value (150) and of what stands in a field (3000) are
// from memory, that of all blocks' text is ours (refusals are reported from
// about 13,200 on), and so is that of a message's buttons.
func edges() []edge {
	head := voice.Line{text("Vent A")}
	tap := kitchen.Tap{Line: "vented A"}
	message := func(change func(s *sheet, b *slack.ButtonBlockElement)) error {
		s := draw(voice.Message{Lines: []voice.Line{head}, Buttons: []voice.Button{{Label: "Vented", Tap: tap, Sure: "Two silent presses?"}}})
		change(&s, s.blocks[1].(*slack.ActionBlock).Elements.ElementSet[0].(*slack.ButtonBlockElement))
		return fits(s)
	}
	form := func(change func(v *slack.ModalViewRequest, typed, chosen *slack.InputBlock)) error {
		v := drawForm(voice.Form{
			Title: "Start", Submit: "Start", Fields: []voice.Field{
				{ID: "volume", Label: "Volume", Hint: "in ml"},
				{ID: "recipe", Label: "Recipe", Options: []voice.Option{{Value: "bay", Label: "Bay vodka"}}},
			},
		}, "meta")
		change(&v, v.Blocks.BlockSet[0].(*slack.InputBlock), v.Blocks.BlockSet[1].(*slack.InputBlock))
		return formFits(v)
	}
	home := func(change func(v *slack.HomeTabViewRequest)) error {
		v := drawHome(voice.Page{{Lines: []voice.Line{head}}}, "meta")
		change(&v)
		return homeFits(v)
	}
	object := func(o *slack.TextBlockObject, n int) { o.Text = x(n) }
	return []edge{
		{"text", 4000, 1, func(n int) error {
			return message(func(s *sheet, _ *slack.ButtonBlockElement) { s.text = x(n) })
		}},
		{"a section", 3000, 1, func(n int) error {
			return message(func(s *sheet, _ *slack.ButtonBlockElement) { s.blocks[0] = section(x(n)) })
		}},
		{"blocks", 50, 1, func(n int) error {
			return message(func(s *sheet, _ *slack.ButtonBlockElement) { s.blocks = sectionsOf(n, 1) })
		}},
		{"text of all blocks", 12000, 0, func(n int) error {
			return message(func(s *sheet, _ *slack.ButtonBlockElement) {
				s.blocks = append(sectionsOf(4, 2900), section(x(n-4*2900)))
			})
		}},
		{"a row", 25, 1, func(n int) error { return fits(buttonSheet(n)) }},
		{"buttons", 25, 0, func(n int) error { return fits(buttonSheet(n-20, 20)) }},
		{"a button's label", 75, 1, func(n int) error {
			return message(func(_ *sheet, b *slack.ButtonBlockElement) {
				b.Text = slack.NewTextBlockObject("plain_text", x(n), false, false)
			})
		}},
		{"an accessibility label", 75, 1, func(n int) error {
			return message(func(_ *sheet, b *slack.ButtonBlockElement) { b.AccessibilityLabel = x(n) })
		}},
		{"a button's value", 2000, 1, func(n int) error {
			return message(func(_ *sheet, b *slack.ButtonBlockElement) { b.Value = x(n) })
		}},
		{"an action_id", 255, 1, func(n int) error {
			return message(func(_ *sheet, b *slack.ButtonBlockElement) { b.ActionID = x(n) })
		}},
		{"a block_id", 255, 0, func(n int) error {
			return message(func(s *sheet, _ *slack.ButtonBlockElement) { s.blocks[1].(*slack.ActionBlock).BlockID = x(n) })
		}},
		{"a confirmation's title", 100, 1, func(n int) error {
			return message(func(_ *sheet, b *slack.ButtonBlockElement) { b.Confirm.Title = label(x(n), uncut) })
		}},
		{"a confirmation's text", 300, 1, func(n int) error {
			return message(func(_ *sheet, b *slack.ButtonBlockElement) { object(b.Confirm.Text, n) })
		}},
		{"a confirmation's yes", 30, 1, func(n int) error {
			return message(func(_ *sheet, b *slack.ButtonBlockElement) { object(b.Confirm.Confirm, n) })
		}},
		{"a confirmation's no", 30, 1, func(n int) error {
			return message(func(_ *sheet, b *slack.ButtonBlockElement) { object(b.Confirm.Deny, n) })
		}},

		{"title", 24, 1, func(n int) error {
			return form(func(v *slack.ModalViewRequest, _, _ *slack.InputBlock) { object(v.Title, n) })
		}},
		{"submit", 24, 1, func(n int) error {
			return form(func(v *slack.ModalViewRequest, _, _ *slack.InputBlock) { object(v.Submit, n) })
		}},
		{"close", 24, 1, func(n int) error {
			return form(func(v *slack.ModalViewRequest, _, _ *slack.InputBlock) { object(v.Close, n) })
		}},
		{"callback_id", 255, 1, func(n int) error {
			return form(func(v *slack.ModalViewRequest, _, _ *slack.InputBlock) { v.CallbackID = x(n) })
		}},
		{"private_metadata", 3000, 0, func(n int) error {
			return form(func(v *slack.ModalViewRequest, _, _ *slack.InputBlock) { v.PrivateMetadata = x(n) })
		}},
		{"blocks", 100, 1, func(n int) error {
			return form(func(v *slack.ModalViewRequest, _, _ *slack.InputBlock) { v.Blocks.BlockSet = sectionsOf(n, 1) })
		}},
		{"a block_id", 255, 0, func(n int) error {
			return form(func(_ *slack.ModalViewRequest, typed, _ *slack.InputBlock) { typed.BlockID = x(n) })
		}},
		{"a field's label", 2000, 1, func(n int) error {
			return form(func(_ *slack.ModalViewRequest, typed, _ *slack.InputBlock) { object(typed.Label, n) })
		}},
		{"a hint", 2000, 1, func(n int) error {
			return form(func(_ *slack.ModalViewRequest, typed, _ *slack.InputBlock) { object(typed.Hint, n) })
		}},
		{"an action_id", 255, 1, func(n int) error {
			return form(func(_ *slack.ModalViewRequest, typed, _ *slack.InputBlock) {
				typed.Element.(*slack.PlainTextInputBlockElement).ActionID = x(n)
			})
		}},
		{"what stands in a field", 3000, 0, func(n int) error {
			return form(func(_ *slack.ModalViewRequest, typed, _ *slack.InputBlock) {
				typed.Element.(*slack.PlainTextInputBlockElement).InitialValue = x(n)
			})
		}},
		{"an action_id", 255, 1, func(n int) error {
			return form(func(_ *slack.ModalViewRequest, _, chosen *slack.InputBlock) { choice(chosen).ActionID = x(n) })
		}},
		{"options", 100, 1, func(n int) error {
			return form(func(_ *slack.ModalViewRequest, _, chosen *slack.InputBlock) {
				choice(chosen).Options = nil
				for i := range n {
					choice(chosen).Options = append(choice(chosen).Options, slack.NewOptionBlockObject(x(i+1), label("A", optionLimit), nil))
				}
			})
		}},
		{"an option's label", 75, 1, func(n int) error {
			return form(func(_ *slack.ModalViewRequest, _, chosen *slack.InputBlock) {
				object(choice(chosen).Options[0].Text, n)
			})
		}},
		{"an option's value", 150, 1, func(n int) error {
			return form(func(_ *slack.ModalViewRequest, _, chosen *slack.InputBlock) { choice(chosen).Options[0].Value = x(n) })
		}},

		{"private_metadata", 3000, 0, func(n int) error {
			return home(func(v *slack.HomeTabViewRequest) { v.PrivateMetadata = x(n) })
		}},
		{"blocks", 100, 1, func(n int) error {
			return home(func(v *slack.HomeTabViewRequest) { v.Blocks.BlockSet = sectionsOf(n, 1) })
		}},
	}
}

func choice(b *slack.InputBlock) *slack.SelectBlockElement {
	return b.Element.(*slack.SelectBlockElement)
}

// sectionsOf gives n sections of some length.
func sectionsOf(n, length int) []slack.Block {
	var list []slack.Block
	for range n {
		list = append(list, section(x(length)))
	}
	return list
}

// buttonSheet gives a message with rows of so many buttons.
func buttonSheet(rows ...int) sheet {
	s := sheet{text: "x", blocks: sectionsOf(1, 1)}
	for _, n := range rows {
		var list []slack.BlockElement
		for i := range n {
			b := button(voice.Button{Label: "A", Tap: kitchen.Tap{Line: "vented A"}}, x(i+1), "x")
			list = append(list, b)
		}
		s.blocks = append(s.blocks, slack.NewActionBlock("", list...))
	}
	return s
}

func TestEveryLimitHoldsAtItsEdge(t *testing.T) {
	t.Parallel()
	for _, e := range edges() {
		t.Run(e.name, func(t *testing.T) {
			t.Parallel()
			if err := e.fits(e.limit); err != nil {
				t.Errorf("%d: %v", e.limit, err)
			}
			if err := e.fits(e.limit + 1); err == nil || !strings.Contains(err.Error(), e.name) {
				t.Errorf("%d: %v", e.limit+1, err)
			}
			if e.least == 0 {
				return
			}
			if err := e.fits(e.least); err != nil {
				t.Errorf("%d: %v", e.least, err)
			}
			if err := e.fits(e.least - 1); err == nil || !strings.Contains(err.Error(), e.name) {
				t.Errorf("%d: %v", e.least-1, err)
			}
		})
	}
}

func TestLengthsAreCountedAsSentAndInWideLetters(t *testing.T) {
	t.Parallel()
	line := func(s string) voice.Message { return voice.Message{Lines: []voice.Line{{text(s)}}} }
	for name, tc := range map[string]struct {
		m    voice.Message
		want string // "" = fits
	}{
		"nothing":                 {voice.Message{}, "text is empty"},
		"nothing but space":       {line(" "), "text is empty"},
		"750 escapes":             {line(strings.Repeat("<", 750)), ""},
		"751 escapes":             {line(strings.Repeat("<", 751)), "a section has 3004"},
		"1500 wide letters":       {line(strings.Repeat("𝄞", 1500)), ""},
		"1501 wide letters":       {line(strings.Repeat("𝄞", 1501)), "a section has 3002"},
		"a button without a name": {voice.Message{Lines: []voice.Line{{text("A")}}, Buttons: []voice.Button{{}}}, "label is empty"},
		"a long question": {voice.Message{Lines: []voice.Line{{text("A")}}, Buttons: []voice.Button{
			{Label: "A", Tap: kitchen.Tap{Line: "a"}, Sure: x(301)},
		}}, "confirmation's text has 301"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			checkFit(t, fits(draw(tc.m)), tc.want)
		})
	}
}

func checkFit(t *testing.T, err error, want string) {
	t.Helper()
	if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
		t.Errorf("fits gives %v, want %q", err, want)
	}
}

func TestWhatStandsTwiceOrIsUnknownIsRefused(t *testing.T) {
	t.Parallel()
	twice := func(id string) slack.Block { b := section("x"); b.BlockID = id; return b }
	b := button(voice.Button{Label: "A"}, "bell-1", "x")
	fields := func(ids ...string) slack.ModalViewRequest {
		f := voice.Form{Title: "x", Submit: "x"}
		for _, id := range ids {
			f.Fields = append(f.Fields, voice.Field{ID: id, Label: id})
		}
		return drawForm(f, "")
	}
	chosen := drawForm(voice.Form{Title: "x", Submit: "x", Fields: []voice.Field{
		{ID: "a", Label: "a", Options: []voice.Option{{Value: "1", Label: "one"}, {Value: "1", Label: "two"}}},
	}}, "")
	for name, tc := range map[string]struct {
		err  error
		want string
	}{
		"two blocks of one id":   {fits(sheet{text: "x", blocks: []slack.Block{twice("a"), twice("a")}}), "a block_id that stands twice"},
		"two blocks of two ids":  {fits(sheet{text: "x", blocks: []slack.Block{twice("a"), twice("b")}}), ""},
		"two buttons of one id":  {fits(sheet{text: "x", blocks: []slack.Block{slack.NewActionBlock("", b, b)}}), "an action_id that stands twice"},
		"one id in two rows":     {fits(sheet{text: "x", blocks: []slack.Block{slack.NewActionBlock("", b), slack.NewActionBlock("", b)}}), ""},
		"two fields of one id":   {formFits(fields("a", "a")), "a block_id that stands twice"},
		"two fields":             {formFits(fields("a", "b")), ""},
		"two options of a value": {formFits(chosen), "an option's value that stands twice"},
		"a block that we do not draw": {
			fits(sheet{text: "x", blocks: []slack.Block{slack.NewHeaderBlock(label("x", labelLimit))}}), "HeaderBlock",
		},
		"an element that we do not draw": {
			fits(sheet{text: "x", blocks: []slack.Block{slack.NewActionBlock("", slack.NewOverflowBlockElement("a"))}}), "OverflowBlockElement",
		},
		"a field that we do not draw": {
			formFits(slack.ModalViewRequest{Blocks: slack.Blocks{BlockSet: []slack.Block{
				slack.NewInputBlock("a", label("x", inputLimit), nil, slack.NewDatePickerBlockElement("a")),
			}}}), "DatePickerBlockElement",
		},
		"a section without text":     {fits(sheet{text: "x", blocks: []slack.Block{slack.NewSectionBlock(nil, nil, nil)}}), "a section is empty"},
		"a row without buttons":      {fits(sheet{text: "x", blocks: []slack.Block{&slack.ActionBlock{}}}), "a row is empty"},
		"a form without a title":     {formFits(slack.ModalViewRequest{Blocks: slack.Blocks{BlockSet: sectionsOf(1, 1)}}), "title is empty"},
		"a page above 250,000 bytes": {homeFits(slack.HomeTabViewRequest{Blocks: slack.Blocks{BlockSet: sectionsOf(90, 2900)}}), "bytes has"},
		"a page below":               {homeFits(slack.HomeTabViewRequest{Blocks: slack.Blocks{BlockSet: sectionsOf(80, 2900)}}), ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			checkFit(t, tc.err, tc.want)
		})
	}
}

func TestLabelsThatAreTooLongAreCut(t *testing.T) {
	t.Parallel()
	s := draw(voice.Message{Lines: []voice.Line{{text(x(200))}}, Buttons: []voice.Button{{Label: x(80), Tap: kitchen.Tap{Line: "a"}, Sure: "Sure?"}}})
	if err := fits(s); err != nil {
		t.Fatal(err)
	}
	b := s.blocks[1].(*slack.ActionBlock).Elements.ElementSet[0].(*slack.ButtonBlockElement)
	form := drawForm(voice.Form{
		Title: x(30), Submit: x(30),
		Fields: []voice.Field{{ID: "a", Label: x(2100), Hint: x(2100), Options: []voice.Option{{Value: "1", Label: x(80)}}}},
	}, "")
	if err := formFits(form); err != nil {
		t.Fatal(err)
	}
	field := form.Blocks.BlockSet[0].(*slack.InputBlock)
	for what, tc := range map[string]struct {
		got   string
		limit int
	}{
		"label": {b.Text.Text, 75}, "accessibility label": {b.AccessibilityLabel, 75}, "yes": {b.Confirm.Confirm.Text, 30},
		"title": {form.Title.Text, 24}, "submit": {form.Submit.Text, 24},
		"field": {field.Label.Text, 2000}, "hint": {field.Hint.Text, 2000}, "option": {choice(field).Options[0].Text.Text, 75},
	} {
		if want := x(tc.limit-1) + "…"; tc.got != want {
			t.Errorf("%s is %q", what, tc.got)
		}
	}
}

func TestCutShortensAtALetterAndSaysSo(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		in, want string
		limit    int
	}{{"Vent A", "Vent A", 6}, {"Vent A", "Vent…", 5}, {"𝄞𝄞", "𝄞…", 3}, {"𝄞𝄞", "…", 2}, {"", "", 3}} {
		if got := cut(tc.in, tc.limit); got != tc.want || units(got) > tc.limit {
			t.Errorf("cut(%q, %d) = %q, want %q", tc.in, tc.limit, got, tc.want)
		}
	}
}
