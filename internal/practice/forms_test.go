package practice

import (
	"errors"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
	"github.com/slack-go/slack/socketmode"
)

// interactions runs a service that gives every interaction on, acknowledged
// with what reply says.
func (c *crew) interactions(reply func(slack.InteractionCallback) any) <-chan slack.InteractionCallback {
	c.t.Helper()
	got := make(chan slack.InteractionCallback, 10)
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		data, ok := e.Data.(slack.InteractionCallback)
		if !ok {
			ack(sm, e)
			return
		}
		got <- data
		if said := reply(data); said != nil {
			_ = sm.Ack(*e.Request, said)
			return
		}
		ack(sm, e)
	})
	return got
}

func silent(slack.InteractionCallback) any { return nil }

func vessels() string {
	return choice(oneOption("A", 1)+`,{"text":{"type":"plain_text","text":"B, insulated"},"value":"B"}`, `},"optional":true,"hint":{"type":"plain_text","text":"By its tag."`)
}

func TestSubmittedFormReachesTheServiceInSlacksShape(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	got := c.interactions(silent)
	view := strings.Replace(formOf(field("ml", `,"initial_value":"1"`), vessels(), strings.Replace(field("why", ""), `"element"`, `"optional":true,"element"`, 1)),
		`"type":"modal"`, `"type":"modal","callback_id":"bell-form","private_metadata":"7.1"`, 1)
	if out := c.open(c.bar1, view); out["ok"] != true {
		t.Fatal(out)
	}
	resp, err := c.Submit(soon(t), c.bar1, map[string]string{"Field ml": "345 & <more>", "c": "B, insulated"})
	if err != nil || resp.Errors != nil {
		t.Fatalf("%+v, %v", resp, err)
	}
	in := <-got
	v := in.View
	if in.Type != slack.InteractionTypeViewSubmission || in.User.ID != c.bar1 || in.User.Name != "bar-1" || in.Team.ID == "" || in.TriggerID == "" ||
		in.APIAppID == "" || v.CallbackID != "bell-form" || v.PrivateMetadata != "7.1" || v.ID == "" || v.Hash == "" || v.Title.Text != "T" || len(v.Blocks.BlockSet) != 3 {
		t.Errorf("the service got %+v", in)
	}
	values := v.State.Values
	// Shapes: docs.slack.dev, View interaction payloads.
	if f := values["ml"]["field"]; f.Type != "plain_text_input" || f.Value != "345 & <more>" {
		t.Errorf("typed %+v", f)
	}
	for _, action := range values["c"] {
		if action.Type != "static_select" || action.SelectedOption.Value != "B" || action.SelectedOption.Text.Text != "B, insulated" {
			t.Errorf("chosen %+v", action)
		}
	}
	if f := values["why"]["field"]; f.Value != "" {
		t.Errorf("left empty %+v", f)
	}
	if _, open := c.Form(c.bar1); open {
		t.Error("the form is still open")
	}
}

func TestFormStaysWithWhatTheServiceFindsWrong(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	wrong := map[string]string{"ml": "345 is more than A holds."}
	c.interactions(func(in slack.InteractionCallback) any {
		if in.View.State.Values["ml"]["field"].Value == "345" {
			return slack.NewErrorsViewSubmissionResponse(wrong)
		}
		return nil
	})
	c.open(c.bar1, modal(""))
	resp, err := c.Submit(soon(t), c.bar1, map[string]string{"ml": "345"})
	if diff := cmp.Diff(wrong, resp.Errors); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	if v, open := c.Form(c.bar1); !open || v.Errors["ml"] != wrong["ml"] || v.Values["ml"] != "345" {
		t.Errorf("stands %+v, %v", v, open)
	}
	resp, err = c.Submit(soon(t), c.bar1, map[string]string{"ml": "300"})
	if _, open := c.Form(c.bar1); open || err != nil || resp.Errors != nil {
		t.Errorf("put right: %+v, %v, open %v", resp, err, open)
	}
}

func TestAnswerToAFormChangesIt(t *testing.T) {
	t.Parallel()
	title := func(s string) *slack.TextBlockObject { return slack.NewTextBlockObject("plain_text", s, false, false) }
	next := &slack.ModalViewRequest{Type: slack.VTModal, Title: title("Sure?"), Submit: title("Yes"), Blocks: slack.Blocks{BlockSet: []slack.Block{slack.NewDividerBlock()}}}
	tests := []struct {
		name   string
		answer any
		titles []string // of the forms that lie there, the undermost first
	}{
		{"nothing said", nil, []string{"Reading"}},
		{"clear", slack.NewClearViewSubmissionResponse(), nil},
		{"update", slack.NewUpdateViewSubmissionResponse(next), []string{"Reading", "Sure?"}},
		{"push", slack.NewPushViewSubmissionResponse(next), []string{"Reading", "Reading", "Sure?"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			c := open(t, Config{})
			c.interactions(func(slack.InteractionCallback) any { return tt.answer })
			c.open(c.bar1, modal(""))
			c.call("views.push", map[string]string{"trigger_id": c.trigger(c.bar1, true), "view": modal("")})
			if _, err := c.Submit(soon(t), c.bar1, map[string]string{"ml": "1"}); err != nil {
				t.Fatal(err)
			}
			var titles []string
			for {
				v, open := c.Form(c.bar1)
				if !open {
					break
				}
				titles = append([]string{v.Title.Text}, titles...)
				if err := c.CloseForm(soon(t), c.bar1); err != nil {
					t.Fatal(err)
				}
			}
			if diff := cmp.Diff(tt.titles, titles); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestAnswerToAFormThatSlackWouldNotTakeIsAnError(t *testing.T) {
	t.Parallel()
	for name, answer := range map[string]any{
		"error for no field":  map[string]any{"response_action": "errors", "errors": map[string]string{"other": "x"}},
		"no errors":           map[string]any{"response_action": "errors"},
		"unknown action":      map[string]any{"response_action": "shake"},
		"unknown field":       map[string]any{"text": "Done."},
		"errors alone":        map[string]any{"errors": map[string]string{"ml": "x"}},
		"update with no view": map[string]any{"response_action": "update"},
		"update with a page":  map[string]any{"response_action": "update", "view": map[string]any{"type": "home", "blocks": []any{}}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := open(t, Config{})
			c.interactions(func(slack.InteractionCallback) any { return answer })
			c.open(c.bar1, modal(""))
			_, err := c.Submit(soon(t), c.bar1, map[string]string{"ml": "1"})
			if _, open := c.Form(c.bar1); err == nil || !open || c.Counts().Refused["form answer"] != 1 {
				t.Errorf("error %v, open %v", err, open)
			}
		})
	}
}

func TestIncompleteFormIsHeldBack(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	got := c.interactions(silent)
	if _, err := c.Submit(t.Context(), c.bar1, nil); !errors.Is(err, ErrNoForm) {
		t.Errorf("no form: %v", err)
	}
	for want, values := range map[string]map[string]string{
		`"Field ml" is not filled in`:           nil,
		`"Field ml" needs 2 characters or more`: {"ml": "1"},
		`"Field ml" takes 4 characters at most`: {"ml": "12345"},
		`"Field ml" is one line`:                {"ml": "1\n2"},
		`"C" is no choice of "c"`:               {"ml": "12", "c": "C"},
		`there is no field "Litres"`:            {"Litres": "1"},
	} {
		c.open(c.bar1, formOf(field("ml", `,"min_length":2,"max_length":4`), vessels()))
		if _, err := c.Submit(t.Context(), c.bar1, values); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: %v, want %s", values, err, want)
		}
	}
	if len(got) != 0 {
		t.Error("an incomplete form was sent")
	}
}

func TestServiceHearsOfAClosedFormOnlyIfItAsked(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	got := c.interactions(silent)
	for _, more := range []string{"", `,"notify_on_close":true,"clear_on_close":true`} {
		c.open(c.bar1, modal(more))
		if err := c.CloseForm(soon(t), c.bar1); err != nil {
			t.Fatal(err)
		}
	}
	if in := <-got; in.Type != slack.InteractionTypeViewClosed || !in.IsCleared || in.View.ID == "" || len(got) != 0 {
		t.Errorf("the service got %+v and %d more", in, len(got))
	}
}

func TestButtonInAFormIsTappedWithWhatStandsThere(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	got := c.interactions(silent)
	c.open(c.bar1, formOf(field("ml", ""), actions(aButton(`,"action_id":"half","value":"0.5"`))))
	resp, err := c.TapForm(soon(t), c.bar1, "Vented")
	if err != nil || resp.Message != nil {
		t.Fatal(resp, err)
	}
	in := <-got
	if in.Type != slack.InteractionTypeBlockActions || in.ActionCallback.BlockActions[0].Value != "0.5" || in.Container.Type != "view" ||
		in.Container.ViewID != in.View.ID || in.View.State == nil || in.Channel.ID != "" || in.ResponseURL != "" {
		t.Errorf("the service got %+v", in)
	}
	pushed := c.call("views.push", map[string]string{"trigger_id": in.TriggerID, "view": modal("")})
	if pushed["ok"] != true {
		t.Errorf("its trigger puts nothing on the form: %v", pushed)
	}
	if _, err := c.TapForm(soon(t), c.bar1, "Strained"); err == nil {
		t.Error("a button that is not there was tapped")
	}
}

func TestFormOverSignedHTTP(t *testing.T) {
	t.Parallel()
	answer := `{"response_action":"errors","errors":{"ml":"No."}}`
	c, e := overHTTP(t, Config{}, func(w http.ResponseWriter, _ *http.Request, body string) {
		if strings.Contains(body, "view_submission") && answer != "" {
			w.Header().Set("Content-Type", "application/json")
			_, _ = w.Write([]byte(answer))
		}
	})
	c.open(c.bar1, modal(""))
	resp, err := c.Submit(soon(t), c.bar1, map[string]string{"ml": "1"})
	if err != nil || resp.Errors["ml"] != "No." {
		t.Errorf("%+v, %v", resp, err)
	}
	in, err := slack.InteractionCallbackParse(<-e.bodies)
	if err != nil || in.Type != slack.InteractionTypeViewSubmission || in.View.State.Values["ml"]["field"].Value != "1" {
		t.Errorf("the service got %+v, %v", in, err)
	}
	answer = ""
	if _, err := c.Submit(soon(t), c.bar1, nil); err != nil {
		t.Error(err)
	}
	if _, open := c.Form(c.bar1); open {
		t.Error("an empty answer left the form open")
	}
}

func TestFormStaysWhenNobodyAnswers(t *testing.T) {
	t.Parallel()
	c := open(t, Config{AckWithin: 30 * time.Millisecond})
	c.open(c.bar1, modal(""))
	if _, err := c.Submit(soon(t), c.bar1, map[string]string{"ml": "345"}); !errors.Is(err, ErrNobody) {
		t.Errorf("got %v", err)
	}
	if v, open := c.Form(c.bar1); !open || v.Values["ml"] != "345" {
		t.Errorf("left %+v, %v", v, open)
	}
}
