package chat

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"github.com/slack-go/slack"
	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

var (
	ourMarkup = regexp.MustCompile(`<@[UW][A-Z0-9]+>|<!date\^-?\d+\^\{time(_secs)?\}\|\d\d:\d\d(:\d\d)?>`)
	anySigns  = rapid.OneOf(
		rapid.String(),
		rapid.StringOf(rapid.SampledFrom([]rune("<>!&*_~`|@#^ \n\u202eab9"))),
		rapid.SampledFrom([]string{"<!channel>", "<!here|x>", "<@U123>", "&lt;!channel&gt;", "<!date^1^{time}|12:00>", "*S&B <!channel>*"}),
	)
)

func anyPiece(t *rapid.T) voice.Piece {
	switch rapid.IntRange(0, 4).Draw(t, "kind") {
	case 0:
		return voice.Piece{Text: anySigns.Draw(t, "text"), Code: true}
	case 1:
		return who(anySigns.Draw(t, "id"), anySigns.Draw(t, "name"), rapid.Bool().Draw(t, "ring"))
	case 2:
		return who("U0BAR1", "bar-1", true)
	case 3:
		return at(rapid.SampledFrom([]string{"15:04", "15:04:05", ""}).Draw(t, "clock"))
	}
	return voice.Piece{Text: anySigns.Draw(t, "text"), Strong: rapid.Bool().Draw(t, "strong")}
}

// TestNoTextIsEverMarkup: whatever a piece holds, no angle bracket reaches
// Slack but those of our own mentions and times, in blocks and beside them.
func TestNoTextIsEverMarkup(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := voice.Message{Lines: []voice.Line{
			rapid.SliceOfN(rapid.Custom(anyPiece), 1, 6).Draw(t, "headline"),
			rapid.SliceOfN(rapid.Custom(anyPiece), 0, 6).Draw(t, "line"),
		}}
		s := draw(m)
		sent := []string{s.text}
		for _, b := range s.blocks {
			if o := b.(*slack.SectionBlock).Text; o.Type != slack.MarkdownType || !o.Verbatim {
				t.Fatalf("section %+v", o)
			} else {
				sent = append(sent, o.Text)
			}
		}
		for _, text := range sent {
			if rest := ourMarkup.ReplaceAllString(text, ""); strings.ContainsAny(rest, "<>") {
				t.Fatalf("sent %q", text)
			}
			for line := range strings.Lines(text) {
				if strings.HasPrefix(strings.TrimSpace(line), "&gt;") {
					t.Fatalf("a quotation: %q", line)
				}
			}
		}
	})
}

// TestSignsOfTheLayoutAreOursAlone: the stars and backticks in a drawn line
// are the pairs that we set, and lie at the edges of words.
func TestSignsOfTheLayoutAreOursAlone(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		pieces := rapid.SliceOfN(rapid.Custom(anyPiece), 1, 6).Draw(t, "line")
		codes, bolds := 0, 0
		for _, p := range pieces {
			switch {
			case p.Person != nil || !p.Time.IsZero():
			case p.Code && escape(strings.ReplaceAll(p.Text, "`", "")) != "":
				codes++
			case !p.Code && p.Strong && strings.TrimSpace(clean(p.Text)) != "":
				bolds++
			}
		}
		parts := strings.Split(mark(pieces), "`")
		if len(parts) != 2*codes+1 {
			t.Fatalf("%d backticks for %d codes: %q", len(parts)-1, codes, parts)
		}
		stars := 0
		for i := 0; i < len(parts); i += 2 { // outside code
			stars += strings.Count(parts[i], "*")
			if outside := ourMarkup.ReplaceAllString(parts[i], ""); strings.Contains(outside, "_") || strings.Contains(outside, "~") {
				t.Fatalf("italics or struck: %q", outside)
			}
		}
		if stars != 2*bolds {
			t.Fatalf("%d stars for %d bold pieces: %q", stars, bolds, parts)
		}
	})
}

// FuzzNoNameIsMarkup: whatever a recipe, a person or a field is called, no
// message, form or page says it in a way that mentions anybody.
func FuzzNoNameIsMarkup(f *testing.F) {
	for _, name := range []string{
		"<!channel>", "<!here|here>", "@here", "@channel *x*", "<@U0BAR1>", "<!subteam^S1>", "&lt;!channel&gt;", "<<!channel>>",
		"<!date^1^{time}|12:00>", "*S&B <!channel>*", "> quoted", "`code` _x_ ~y~", "a\n<!channel>", "\u202e<!channel>", "<\u200b!channel>",
		"\x00<\x07!channel>", "\xff<!channel>", "</https://x.test|x>", "mailto:x@y.test",
	} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		m := voice.Message{
			Lines: []voice.Line{
				{text(name)}, {strong(name), text(" of "), who(name, name, true)}, {asTyped("start " + name), text(name)},
				{who("U0X", name, false)},
			},
			Buttons: []voice.Button{{Label: name, Sure: name, Tap: kitchen.Tap{Line: name}}},
		}
		s := draw(m)
		form := drawForm(voice.Form{Title: name, Submit: name, Lines: m.Lines, Fields: []voice.Field{
			{ID: "a", Label: name, Hint: name, Value: name}, {ID: "b", Label: name, Options: []voice.Option{{Value: name, Label: name}}},
		}}, name)
		page := drawHome(voice.Page{m}, name)
		checkNoMarkup(t, s.text)
		for _, set := range [][]slack.Block{s.blocks, form.Blocks.BlockSet, page.Blocks.BlockSet} {
			for _, b := range set {
				// Only sections are read for markup: all else is plain text.
				if o, ok := b.(*slack.SectionBlock); ok {
					if o.Text.Type != slack.MarkdownType || !o.Text.Verbatim {
						t.Errorf("a section that Slack reads again: %+v", o.Text)
					}
					checkNoMarkup(t, o.Text.Text)
				}
			}
			body, err := json.Marshal(set)
			if err != nil {
				t.Fatal(err)
			}
			if n := strings.Count(string(body), `"type":"mrkdwn"`); n != strings.Count(string(body), `"type":"section"`) {
				t.Errorf("%d texts are read for markup: %s", n, body)
			}
		}
	})
}

func checkNoMarkup(t *testing.T, text string) {
	t.Helper()
	if rest := ourMarkup.ReplaceAllString(text, ""); strings.ContainsAny(rest, "<>") {
		t.Errorf("sent %q", text)
	}
}
