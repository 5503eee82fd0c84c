package hatch

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// buttonVoice says an answer's line with a button below it.
type buttonVoice struct{ plainVoice }

func (buttonVoice) Answer(_ *kitchen.Kitchen, a kitchen.Answer) voice.Message {
	m := words(a.Line)
	m.Buttons = []voice.Button{{Label: "Later", Tap: kitchen.Tap{Line: "resting"}}}
	return m
}

func TestAMessageIsPlainText(t *testing.T) {
	t.Parallel()
	bar := kitchen.Person{ID: "U1", Name: "bar-1"}
	m := voice.Message{
		Lines: []voice.Line{
			{
				{Text: "Vent ", Strong: true}, {Time: time.Date(2026, 11, 24, 18, 6, 0, 0, time.UTC), Clock: "15:04"},
				{Text: ", A, "}, {Person: &bar, Ring: true}, {Text: ": upright."},
			},
			{{Text: "Not you? "}, {Text: "take A", Code: true}, {Text: ", "}, {Person: &bar}},
		},
		Buttons: []voice.Button{{Label: "Empty, two silent presses", Tap: kitchen.Tap{Line: "vented A", Batch: 7, Turn: 2}}},
	}
	want := "Vent 18:06, A, @bar-1: upright.\nNot you? `take A`, bar-1\nEmpty, two silent presses: `/prep vented A`"
	if got := text("", m, "/prep"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestNoNameDoesAnything(t *testing.T) {
	t.Parallel()
	for _, name := range []string{
		"@all", "@here gin", "<!channel>", "<@U1>", "<https://x.example|gin>", "[gin](https://x.example)",
		"*gin*", "_gin_", "~gin~", "`gin`", "gin\n# big", "a\u202egin",
	} {
		got := line(voice.Line{{Text: name}})
		for _, bad := range []string{"@a", "@h", "<!", "<@", "<h", "](", "*", "_", "~", "`", "\n", "\u202e"} {
			if strings.Contains(got, bad) {
				t.Errorf("%q is written %q, which holds %q", name, got, bad)
			}
		}
	}
	if got := line(voice.Line{{Text: "Bar & Co, 2 < 3, 50 %"}}); strings.ReplaceAll(got, joiner, "") != "Bar & Co, 2 < 3, 50 %" {
		t.Errorf("plain words are written %q", got)
	}
}

func TestOnlyOnePersonIsRung(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"bar-1": "@bar-1", "zoë.b": "@zoë.b",
		"all": "@" + joiner + "all", "Channel": "@" + joiner + "Channel", "HERE": "@" + joiner + "HERE", "everyone": "@" + joiner + "everyone",
		"a b": "@" + joiner + "a b", "@all": "@" + joiner + "@" + joiner + "all", "-x": "@" + joiner + "-x",
	} {
		if got := ring(name); got != want {
			t.Errorf("%q is rung as %q, want %q", name, got, want)
		}
	}
}

func TestALongMessageIsCutAndKeepsItsReplies(t *testing.T) {
	t.Parallel()
	m := words(strings.Repeat("ä", 3*longest))
	m.Buttons = []voice.Button{{Label: "Change", Tap: kitchen.Tap{Line: "change A", With: openForm}}}
	for range mostReplies + 2 {
		m.Buttons = append(m.Buttons, voice.Button{Label: "Take", Tap: kitchen.Tap{Line: "take A"}})
	}
	got := text("", m, "")
	if n := utf8.RuneCountInString(got); n != longest {
		t.Errorf("%d characters, want %d", n, longest)
	}
	if n := strings.Count(got, "\nTake: `/bell take A`"); n != mostReplies {
		t.Errorf("%d replies, want %d", n, mostReplies)
	}
	if strings.Contains(got, "Change") {
		t.Error("a form is offered, and there are none")
	}
}

func TestATypedReplySaysWhatItsButtonWould(t *testing.T) {
	t.Parallel()
	for _, tap := range []kitchen.Tap{
		{Line: "vented A", Batch: 7, Turn: 3, N: 2, With: "take"},
		{Line: "start pepper tequila 500 ml in B", With: "sure"},
		{Line: "charged A", Batch: 4294967295, Turn: 65535, N: mostN, With: "again"},
	} {
		line, got := untyped(typed(voice.Button{Tap: tap}))
		if got == nil || *got != tap || line != tap.Line {
			t.Errorf("%+v is typed %q and read as %q, %+v", tap, typed(voice.Button{Tap: tap}), line, got)
		}
	}
}

func TestWhatIsAskedFirstIsTypedBare(t *testing.T) {
	t.Parallel()
	b := voice.Button{Tap: kitchen.Tap{Line: "scrap A", Batch: 7, With: "sure"}, Sure: "Scrap it?"}
	if got := typed(b); got != "scrap A" {
		t.Errorf("typed %q", got)
	}
}

func TestALineWithoutATapIsALine(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"vented A", "vented A !", "vented A !7.3.2.", "hurry !now", "wow ! 7.3.2.take", "charged A !7.3.100.take", "charged A !7.3.-1.take",
	} {
		if got, tap := untyped(text); tap != nil || got != text {
			t.Errorf("%q is read as %q, %+v", text, got, tap)
		}
	}
}
