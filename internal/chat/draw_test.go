package chat

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

var update = flag.Bool("update", false, "write the golden files anew")

func text(s string) voice.Piece    { return voice.Piece{Text: s} }
func strong(s string) voice.Piece  { return voice.Piece{Text: s, Strong: true} }
func asTyped(s string) voice.Piece { return voice.Piece{Text: s, Code: true} }

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
			{Label: "No gas went in", Tap: kitchen.Tap{Line: "no gas A", Batch: 7, Turn: 2, N: 2}, Sure: "Nothing was heard to flow, and the charger is still full?", Back: "Leave it"},
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
		Lines: []voice.Line{{text("Which one is meant by "), strong("gin"), text("? Or reply "), asTyped("start rhubarb gin 400ml"), text(".")}},
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
			{asTyped("start `S&B <!channel>`"), text("next"), strong("9"), text("ml")},
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
			checkGolden(t, name, indented(t, s.blocks)+"---\n"+s.text+"\n")
		})
	}
}

// indented gives JSON to read.
func indented(t *testing.T, v any) string {
	t.Helper()
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func checkGolden(t *testing.T, name, got string) {
	t.Helper()
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
