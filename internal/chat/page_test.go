package chat

import (
	"strings"
	"testing"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// Only a page that the house turned on mentions a whole channel; no text does, whatever
// it holds. The marks are Slack's: docs.slack.dev, formatting message text.
func TestOnlyAPagePagesAChannel(t *testing.T) {
	t.Parallel()
	for page, want := range map[kitchen.Page]string{kitchen.PagePressurised: "<!channel>", kitchen.PageFood: "<!here>"} {
		m := voice.Message{Lines: []voice.Line{{{Text: "Vent A, "}, {Page: page}, {Text: " now"}}}}
		if got := plain(m); got != "Vent A, "+want+" now" {
			t.Errorf("plain text is %q", got)
		}
		if got := mark(m.Lines[0]); got != "Vent A, "+want+" now" {
			t.Errorf("markup is %q", got)
		}
	}
	for _, text := range []string{"<!channel>", "<!here>", "<!everyone>", "@channel"} {
		for _, piece := range []voice.Piece{{Text: text}, {Text: text, Strong: true}, {Text: text, Code: true}, {Person: &kitchen.Person{ID: text, Name: text}, Ring: true}} {
			m := voice.Message{Lines: []voice.Line{{piece}}}
			if got := plain(m) + mark(m.Lines[0]); strings.Contains(got, "<!") {
				t.Errorf("%+v is drawn %q", piece, got)
			}
		}
	}
}
