package chat

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

var update = flag.Bool("update", false, "write the golden files anew")

func text(s string) voice.Piece   { return voice.Piece{Text: s} }
func strong(s string) voice.Piece { return voice.Piece{Text: s, Strong: true} }
func typed(s string) voice.Piece  { return voice.Piece{Text: s, Code: true} }

func who(id, name string, ring bool) voice.Piece {
	return voice.Piece{Person: &kitchen.Person{ID: id, Name: name}, Ring: ring}
}

// clockTime is 18:06:20 on Tuesday 24 November 2026, an hour east of Greenwich.
var clockTime = time.Date(2026, 11, 24, 18, 6, 20, 0, time.FixedZone("CET", 3600))

func at(layout string) voice.Piece { return voice.Piece{Time: clockTime, Clock: layout} }

// shown are the messages whose golden files show how they are drawn.
var shown = map[string]voice.Message{
	"slip": {
		Lines: []voice.Line{
			{strong("Rest 2:00, A."), text(" Vent "), at("15:04:05"), text(", "), who("U0BAR1", "bar-1", false), text(".")},
			{text("Jug ready, no flame. Keep it upright and cold.")},
			{text("2 of 2 chargers in, "), who("U0BAR1", "bar-1", false), text(" "), at("15:04"), text(".")},
		},
		Buttons: []voice.Button{
			{Label: "Set down", Tap: kitchen.Tap{Line: "set down A", Batch: 7, Turn: 2}, Main: true},
			{Label: "No gas went in", Tap: kitchen.Tap{Line: "no gas A", Batch: 7, Turn: 2, N: 2}, Sure: "Nothing was heard to flow, and the charger is still full?"},
		},
	},
	"vent-call": {
		Lines: []voice.Line{
			{strong("Vent"), text(" "), at("15:04"), text(", A, "), who("U0BAR1", "bar-1", true), text(": upright, jug over, full lever. Faces clear, no flame.")},
			{text("Empty means: gas was heard, then two presses 30 s apart were silent.")},
		},
		Buttons: []voice.Button{
			{Label: "Empty, two silent presses", Tap: kitchen.Tap{Line: "vented A", Batch: 7, Turn: 3}, Main: true},
			{Label: "+15 s", Tap: kitchen.Tap{Line: "+15s A", Batch: 7, Turn: 3}},
		},
	},
	"question": {
		Lines: []voice.Line{{text("Which one is meant by "), strong("gin"), text("? Or reply "), typed("start rhubarb gin 400ml"), text(".")}},
		Buttons: []voice.Button{
			{Label: "Rhubarb gin", Tap: kitchen.Tap{Line: "start rhubarb gin 400ml"}, Main: true},
			{Label: "Pink peppercorn gin", Tap: kitchen.Tap{Line: "start pink peppercorn gin 400ml"}},
			{Label: "Rosemary gin", Tap: kitchen.Tap{Line: "start rosemary gin 400ml"}},
		},
	},
	"hostile-names": {
		Lines: []voice.Line{
			{strong("*S&B <!channel>*"), text(" in A, ~"), who("U0X", "_<@U1>`", false), text("~ and "), who("no id", "<!here>", true)},
			{text("> <!everyone> `code` &lt; https://x.test @here")},
			{typed("start `S&B <!channel>`"), text("next"), strong("9"), text("ml")},
			{text("two\nlines \u202eback")},
		},
		Buttons: []voice.Button{{Label: "<!channel> *S&B*", Tap: kitchen.Tap{Line: "start *S&B <!channel>*"}}},
	},
	"many-buttons": {
		Lines: []voice.Line{{strong("Which vessel?")}},
		Buttons: []voice.Button{
			{Label: "A", Tap: kitchen.Tap{Line: "vented A"}},
			{Label: "B", Tap: kitchen.Tap{Line: "vented B"}},
			{Label: "C", Tap: kitchen.Tap{Line: "vented C"}},
			{Label: "D", Tap: kitchen.Tap{Line: "vented D"}},
			{Label: "E", Tap: kitchen.Tap{Line: "vented E"}},
			{Label: "F", Tap: kitchen.Tap{Line: "vented F"}},
			{Label: "F again", Tap: kitchen.Tap{Line: "vented F"}},
		},
	},
}

func TestMessagesAreDrawnAsTheGoldenFilesShow(t *testing.T) {
	t.Parallel()
	for name, m := range shown {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := draw(m)
			if err := fits(s); err != nil {
				t.Error(err)
			}
			var b bytes.Buffer
			e := json.NewEncoder(&b)
			e.SetEscapeHTML(false)
			e.SetIndent("", "  ")
			if err := e.Encode(s.blocks); err != nil {
				t.Fatal(err)
			}
			got := b.String() + "---\n" + s.text + "\n"
			file := filepath.Join("testdata", name+".golden")
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Errorf("drawn otherwise (-golden +now); if that is meant, run with -update:\n%s", diff)
			}
		})
	}
}

func TestAnEmptyMessageIsNotDrawn(t *testing.T) {
	t.Parallel()
	if s := draw(voice.Message{}); s.text != "" || s.blocks != nil {
		t.Errorf("drawn: %+v", s)
	}
}

func TestLongMessagesGoIntoSeveralSections(t *testing.T) {
	t.Parallel()
	m := voice.Message{Lines: []voice.Line{{text("Resting")}, nil}}
	for range 5 {
		m.Lines = append(m.Lines, voice.Line{text(strings.Repeat("x", 700))})
	}
	s := draw(m)
	if err := fits(s); err != nil {
		t.Error(err)
	}
	var lengths []int
	for _, b := range s.blocks {
		lengths = append(lengths, len(b.(*slack.SectionBlock).Text.Text))
	}
	if diff := cmp.Diff([]int{7, 4*700 + 3, 700}, lengths); diff != "" {
		t.Error(diff)
	}
}

func TestAButtonKeepsItsNameWhenItsMessageIsDrawnAnew(t *testing.T) {
	t.Parallel()
	ids := func(m voice.Message) map[string]string {
		named := map[string]string{}
		for _, b := range draw(m).blocks {
			if row, ok := b.(*slack.ActionBlock); ok {
				for _, e := range row.Elements.ElementSet {
					button := e.(*slack.ButtonBlockElement)
					named[button.ActionID] = button.Value
				}
			}
		}
		return named
	}
	m := shown["many-buttons"]
	before := ids(m)
	if len(before) != len(m.Buttons) {
		t.Fatalf("%d buttons have %d names", len(m.Buttons), len(before))
	}
	fewer := voice.Message{Lines: []voice.Line{{text("Otherwise")}}, Buttons: m.Buttons[2:5]}
	for id, value := range ids(fewer) {
		if before[id] != value {
			t.Errorf("%s was %q and is %q", id, before[id], value)
		}
	}
}

func TestWhatSlackWouldRefuseIsRefusedBeforeItIsSent(t *testing.T) {
	t.Parallel()
	head := []voice.Line{{text("Vent A")}}
	tap := kitchen.Tap{Line: "vented A"}
	button := func(b voice.Button) voice.Message { return voice.Message{Lines: head, Buttons: []voice.Button{b}} }
	lines := func(n, length int) voice.Message {
		m := voice.Message{Lines: head}
		for range n {
			m.Lines = append(m.Lines, voice.Line{text(strings.Repeat("x", length))})
		}
		return m
	}
	many := make([]voice.Button, 26)
	for i := range many {
		many[i] = voice.Button{Label: "A", Tap: tap}
	}
	for name, tc := range map[string]struct {
		m    voice.Message
		want string // "" = fits
	}{
		"nothing":                      {voice.Message{}, "says nothing"},
		"nothing but space":            {voice.Message{Lines: []voice.Line{{text(" ")}}}, "says nothing"},
		"a line of 3000":               {lines(1, 3000), ""},
		"a line of 3001":               {lines(1, 3001), "a section"},
		"a text of 4000":               {lines(2, (4000-8)/2), ""},
		"a text of 4001":               {lines(2, (4000-6)/2), "text has"},
		"a line of 1000 escapes":       {voice.Message{Lines: []voice.Line{{text(strings.Repeat("<", 751))}}}, "a section"},
		"a line of 1501 wide letters":  {voice.Message{Lines: []voice.Line{{text(strings.Repeat("𝄞", 1501))}}}, "a section"},
		"25 buttons":                   {voice.Message{Lines: head, Buttons: many[:25]}, ""},
		"26 buttons":                   {voice.Message{Lines: head, Buttons: many}, "26 buttons"},
		"a label of 75":                {button(voice.Button{Label: strings.Repeat("x", 75), Tap: tap}), ""},
		"a label of 76":                {button(voice.Button{Label: strings.Repeat("x", 76), Tap: tap}), "label"},
		"no label":                     {button(voice.Button{Tap: tap}), "label is empty"},
		"a long value":                 {button(voice.Button{Label: "A", Tap: kitchen.Tap{Line: strings.Repeat("x", 2000)}}), "value"},
		"a question of 300":            {button(voice.Button{Label: "A", Tap: tap, Sure: strings.Repeat("x", 300)}), ""},
		"a question of 301":            {button(voice.Button{Label: "A", Tap: tap, Sure: strings.Repeat("x", 301)}), "confirmation's text"},
		"a long label with a question": {button(voice.Button{Label: strings.Repeat("x", 75), Tap: tap, Sure: "sure?"}), ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			err := fits(draw(tc.m))
			if tc.want == "" && err != nil || tc.want != "" && (err == nil || !strings.Contains(err.Error(), tc.want)) {
				t.Errorf("fits gives %v, want %q", err, tc.want)
			}
		})
	}
}

func TestFitsCountsBlocksAndTheTextOfAllOfThem(t *testing.T) {
	t.Parallel()
	section := func(n int) slack.Block {
		return slack.NewSectionBlock(slack.NewTextBlockObject(slack.MarkdownType, strings.Repeat("x", n), false, true), nil, nil)
	}
	s := sheet{text: "x"}
	for range 51 {
		s.blocks = append(s.blocks, section(1))
	}
	if err := fits(s); err == nil || !strings.Contains(err.Error(), "51 blocks") {
		t.Errorf("fits gives %v", err)
	}
	s.blocks = []slack.Block{section(3000), section(3000), section(3000), section(3000), section(1)}
	if err := fits(s); err == nil || !strings.Contains(err.Error(), "12001 characters") {
		t.Errorf("fits gives %v", err)
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

// TestEveryWordOfAMessageStandsInItsText: what blocks show, the text says.
func TestEveryWordOfAMessageStandsInItsText(t *testing.T) {
	t.Parallel()
	readable := strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&",
		"\u2217", "*", "\u02cd", "_", "\u223c", "~", "\u02cb", "`", "\u2060", "")
	for name, m := range shown {
		if name == "hostile-names" {
			continue // holds signs that are dropped on purpose
		}
		got := strings.ReplaceAll(readable.Replace(draw(m).text), "<@U0BAR1>", "@bar-1")
		if diff := cmp.Diff(m.Plain(), got); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
}
