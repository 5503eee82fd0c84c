package chat

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// startForm is a form with every kind of field.
var startForm = voice.Form{
	Name: "start", Title: "Start a batch", Submit: "Start", Back: "Not now",
	Lines: []voice.Line{{text("Weigh first. "), strong("No flame"), text(" near the vent.")}},
	Fields: []voice.Field{
		{ID: "recipe", Label: "Recipe", Value: "bay", Options: []voice.Option{
			{Value: "gin", Label: "*Rhubarb* gin <!channel>"}, {Value: "bay", Label: "Bay vodka"},
		}},
		{ID: "volume", Label: "Volume", Hint: "In ml, of the spirit alone.", Value: "400"},
		{ID: "note", Label: "Note", Long: true, Optional: true},
	},
}

// barPage is a page with a slip, a call and plain lines.
var barPage = voice.Page{
	shown["slip"],
	shown["vent-call"],
	{Lines: []voice.Line{{text("Free: C, D.")}}},
}

func TestAFormIsDrawnAsTheGoldenFileShows(t *testing.T) {
	t.Parallel()
	v := drawForm(startForm, "carried")
	if err := formFits(v); err != nil {
		t.Error(err)
	}
	checkGolden(t, "form", indented(t, v))
}

func TestAPageIsDrawnAsTheGoldenFileShows(t *testing.T) {
	t.Parallel()
	v := drawHome(barPage, "carried")
	if err := homeFits(v); err != nil {
		t.Error(err)
	}
	checkGolden(t, "page", indented(t, v))
}

// TestEveryButtonOfAPageHasANameOfItsOwn: the same button may stand in two of
// its messages.
func TestEveryButtonOfAPageHasANameOfItsOwn(t *testing.T) {
	t.Parallel()
	v := drawHome(voice.Page{shown["vent-call"], shown["vent-call"]}, "")
	names := map[string]bool{}
	for _, b := range v.Blocks.BlockSet {
		if row, ok := b.(*slack.ActionBlock); ok {
			for _, e := range row.Elements.ElementSet {
				names[e.(*slack.ButtonBlockElement).ActionID] = true
			}
		}
	}
	if len(names) != 4 {
		t.Errorf("four buttons have the names %v", names)
	}
}

func TestAPageThatIsTooLongEndsWithDots(t *testing.T) {
	t.Parallel()
	var p voice.Page
	for i := range 60 {
		p = append(p, voice.Message{
			Lines:   []voice.Line{{text(fmt.Sprintf("Vent %d", i))}, {text("Upright.")}},
			Buttons: []voice.Button{{Label: "Vented", Tap: kitchen.Tap{Line: "vented", Batch: uint32(i)}}},
		})
	}
	v := drawHome(p, "")
	if err := homeFits(v); err != nil {
		t.Error(err)
	}
	set := v.Blocks.BlockSet
	// Three blocks for a message and a rule between: 25 whole ones are 99.
	if last, ok := set[len(set)-1].(*slack.SectionBlock); len(set) != 100 || !ok || last.Text.Text != "…" {
		t.Errorf("%d blocks, the last is %+v", len(set), set[len(set)-1])
	}
	if before := set[len(set)-2]; before.BlockType() != slack.MBTAction {
		t.Errorf("a message is cut in two at a %s", before.BlockType())
	}
}

func TestAPageOfNothingIsNotPublished(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	err := r.publishHome(t.Context(), bar1, drawHome(voice.Page{{}}, ""))
	checkRefusal(t, err, runner.Refusal{Reason: badMessage})
	err = r.openForm(t.Context(), "t", drawForm(voice.Form{}, ""))
	checkRefusal(t, err, runner.Refusal{Reason: badMessage})
	err = r.ephemeral(t.Context(), channel, bar1, "", draw(voice.Message{}))
	checkRefusal(t, err, runner.Refusal{Reason: badMessage})
	if len(r.slack.calls) != 0 {
		t.Errorf("called %v", r.slack.calls)
	}
}

// viewCall is what views.open and views.publish are sent.
type viewCall struct {
	path, token string
	Trigger     string          `json:"trigger_id"`
	User        string          `json:"user_id"`
	View        json.RawMessage `json:"view"`
}

// newViewed gives a door to a server that takes views.
func newViewed(t *testing.T, answer string) (*Chat, *viewCall) {
	t.Helper()
	var got viewCall
	return newWired(t, func(w http.ResponseWriter, r *http.Request) {
		got = viewCall{path: r.URL.Path, token: r.Header.Get("Authorization")}
		if err := json.NewDecoder(r.Body).Decode(&got); err != nil {
			t.Error(err)
		}
		fmt.Fprint(w, answer)
	}), &got
}

func TestAFormIsOpenedWithTheTrigger(t *testing.T) {
	t.Parallel()
	c, got := newViewed(t, `{"ok":true,"view":{"id":"V1"}}`)
	v := drawForm(startForm, "carried")
	if err := c.openForm(t.Context(), "12.34.ab", v); err != nil {
		t.Fatal(err)
	}
	want, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	if got.path != "/api/views.open" || got.Trigger != "12.34.ab" || got.token != "Bearer "+testToken {
		t.Errorf("called %+v", got)
	}
	if diff := cmp.Diff(string(want), string(got.View)); diff != "" {
		t.Error(diff)
	}
}

func TestAPageIsPublishedForItsPerson(t *testing.T) {
	t.Parallel()
	c, got := newViewed(t, `{"ok":true,"view":{"id":"V1"}}`)
	if err := c.publishHome(t.Context(), bar1, drawHome(barPage, "carried")); err != nil {
		t.Fatal(err)
	}
	if got.path != "/api/views.publish" || got.User != bar1 || !strings.Contains(string(got.View), `"type":"home"`) {
		t.Errorf("called %+v", got)
	}
}

func TestAViewThatSlackRefusesSaysWhy(t *testing.T) {
	t.Parallel()
	for answer, want := range map[string]runner.Refusal{
		slackSays("expired_trigger_id"): {Reason: tooLate},
		slackSays("view_too_large"):     {Reason: badMessage},
		slackSays("not_enabled"):        stuckAt(notAllowed),
		`{"ok":false}`:                  {Reason: unclear, Retry: true, Unsure: true},
	} {
		c, _ := newViewed(t, answer)
		checkRefusal(t, c.openForm(t.Context(), "t", drawForm(startForm, "")), want)
		checkRefusal(t, c.publishHome(t.Context(), bar1, drawHome(barPage, "")), want)
	}
}

func TestAWhisperGoesToOnePersonInTheThread(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.slack.answer = func(call) (int, string) { return http.StatusOK, `{"ok":true,"message_ts":"1.2"}` }
	if err := r.ephemeral(t.Context(), channel, bar1, "1.1", draw(words("Not yours, A."))); err != nil {
		t.Fatal(err)
	}
	form := r.slack.to("chat.postEphemeral")[0].form
	if form.Get("user") != bar1 || form.Get("channel") != channel || form.Get("thread_ts") != "1.1" || form.Get("text") != "Not yours, A." {
		t.Errorf("sent %v", form)
	}
	r.slack.answer = func(call) (int, string) { return http.StatusOK, slackSays("user_not_in_channel") }
	checkRefusal(t, r.ephemeral(t.Context(), channel, bar1, "", draw(words("Not yours, A."))), stuckAt(personGone))
}
