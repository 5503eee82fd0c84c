package chat

import (
	"context"
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// The shapes of the payloads: github.com/slackapi/java-slack-sdk, folder
// json-logs/samples/app-backend (MIT), and docs.slack.dev, "Interaction
// payloads". A global shortcut names no channel and has no response_url.

func shortcutBody(id, trigger string) string {
	return `{"type":"shortcut","token":"old","action_ts":"1764000100.200000","team":{"id":"` + house + `","domain":"x"},` +
		`"user":{"id":"` + bar1 + `","username":"bar-1","team_id":"` + house + `"},"is_enterprise_install":false,"enterprise":null,` +
		`"callback_id":"` + id + `","trigger_id":"` + trigger + `"}`
}

func readingBody(text, trigger string) string {
	message, _ := json.Marshal(text)
	return `{"type":"message_action","token":"old","action_ts":"1764000100.200000","team":{"id":"` + house + `","domain":"x"},` +
		`"user":{"id":"` + bar1 + `","name":"bar-1"},"channel":{"id":"` + channel + `","name":"bench"},` +
		`"callback_id":"bell-read","trigger_id":"` + trigger + `","message_ts":"1764000090.000100",` +
		`"message":{"type":"message","user":"U0LARDER","ts":"1764000090.000100","thread_ts":"1764000080.000100","text":` + string(message) + `},` +
		`"response_url":"` + replyURL + `"}`
}

// homeTap is a tap on somebody's own page.
func homeTap(meta, value string) string {
	carried, _ := json.Marshal(meta)
	return `{"type":"block_actions","user":{"id":"` + bar1 + `","username":"bar-1","team_id":"` + house + `"},"team":{"id":"` + house + `"},` +
		`"container":{"type":"view","view_id":"V0HOME"},"trigger_id":"th","view":{"id":"V0HOME","type":"home","private_metadata":` + string(carried) + `,` +
		`"callback_id":"","hash":"1.a","state":{"values":{}}},` +
		`"actions":[{"type":"button","action_id":"bell-1","block_id":"b","value":"` + value + `","action_ts":"1764000123.450000"}]}`
}

// submission is a form that comes back as it was opened, filled in.
func submission(t *testing.T, opened call, trigger, recipe, volume string) string {
	t.Helper()
	var sent struct {
		View struct {
			Meta     string `json:"private_metadata"`
			Callback string `json:"callback_id"`
		} `json:"view"`
	}
	if err := json.Unmarshal([]byte(opened.body), &sent); err != nil {
		t.Fatal(err)
	}
	text := func(s string) any {
		if s == "" {
			return nil
		}
		return s
	}
	body, err := json.Marshal(map[string]any{
		"type": "view_submission", "team": map[string]any{"id": house}, "enterprise": nil, "is_enterprise_install": false,
		"user": map[string]any{"id": bar1, "username": "bar-1", "name": "bar-1", "team_id": house}, "trigger_id": trigger,
		"view": map[string]any{
			"id": "V0FORM", "type": "modal", "callback_id": sent.View.Callback, "private_metadata": sent.View.Meta, "hash": "1764000100.abc",
			"state": map[string]any{"values": map[string]any{
				"field-recipe": map[string]any{"field": map[string]any{
					"type": "static_select", "selected_option": map[string]any{"value": recipe, "text": map[string]any{"type": "plain_text", "text": "x"}},
				}},
				"field-volume": map[string]any{"field": map[string]any{"type": "plain_text_input", "value": text(volume)}},
			}},
		},
		"response_urls": []any{},
	})
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// formDesk opens a form for who asks for one, and for a filled one says what
// it holds.
func formDesk(_ context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
	switch {
	case cmd.Open != "":
		return kitchen.Answer{Kind: kitchen.OpenForm, Form: cmd.Open, Line: cmd.Text}, nil
	case cmd.Form == nil:
		return kitchen.Answer{Kind: kitchen.OpenForm, Form: kitchen.FormReading, Line: "400ml"}, nil
	case cmd.Form.Fields["volume"] == "":
		return kitchen.Answer{Kind: kitchen.Refuse, Field: "volume", Line: "How much?\nmore"}, nil
	case cmd.Form.Fields["volume"] == "9l":
		return kitchen.Answer{Kind: kitchen.Refuse, Field: "vessel", Line: "No vessel holds 9 l."}, nil
	}
	return kitchen.Answer{Kind: kitchen.Done, Field: "volume", Line: "started " + cmd.Form.Fields["recipe"]}, nil
}

func opened(t *testing.T, r *rig) call {
	t.Helper()
	calls := r.slack.to("views.open")
	if len(calls) != 1 {
		t.Fatalf("opened %d forms", len(calls))
	}
	return calls[0]
}

func TestShortcutsAreHeardAsCommands(t *testing.T) {
	t.Parallel()
	at := time.Unix(1764000100, 200000000)
	by := kitchen.Person{ID: bar1, Name: "bar-1"}
	for name, tc := range map[string]struct {
		body string
		want kitchen.Command
		said []string // where, then what
	}{
		"start": {
			body: shortcutBody("bell-start", "t1"),
			want: kitchen.Command{ID: "short:t1", Open: kitchen.FormStart, By: by, At: at}, said: []string{bar1, "heard"},
		},
		"board": {
			body: shortcutBody("bell-board", "t1"),
			want: kitchen.Command{ID: "short:t1", Text: "resting", By: by, At: at}, said: []string{bar1, "heard"},
		},
		"read": {
			body: readingBody("<@U0BOT> start \u201crhubarb gin\u201d 400ml", "t1"),
			want: kitchen.Command{ID: "short:t1", Open: kitchen.FormReading, Text: `start "rhubarb gin" 400ml`, By: by, At: at}, said: []string{"once", "heard"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
				return kitchen.Answer{Line: "heard", Private: true}, nil
			}
			for range 2 { // Slack sends it again
				if w := r.interact(tc.body); w.Code != http.StatusOK || w.Body.Len() != 0 {
					t.Errorf("status %d, body %q", w.Code, w.Body)
				}
			}
			r.close(t)
			if diff := cmp.Diff([]kitchen.Command{tc.want}, r.desk.commands()); diff != "" {
				t.Error(diff)
			}
			var said []string
			for _, c := range r.slack.to("chat.postMessage") {
				said = append(said, c.form.Get("channel"), c.form.Get("text"))
			}
			for _, c := range r.slack.to("once") {
				said = append(said, c.path, c.note.Text)
			}
			if diff := cmp.Diff(tc.said, said); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestAFormGoesOutAndComesBack(t *testing.T) {
	t.Parallel()
	type said struct{ Method, Where, Text string }
	for name, tc := range map[string]struct {
		ask    func(r *rig) *http.Response
		answer said
	}{
		"by a shortcut, answered in the direct message": {
			func(r *rig) *http.Response { return r.interact(shortcutBody("bell-start", "t1")).Result() },
			said{"chat.postMessage", bar1, "started bay vodka"},
		},
		"by a shortcut on a message, answered beside it": {
			func(r *rig) *http.Response { return r.interact(readingBody("start gin", "t1")).Result() },
			said{"chat.postEphemeral", channel, "started bay vodka"},
		},
		"by a button, answered where it stands": {
			func(r *rig) *http.Response { return r.press(kitchen.Tap{Line: "change"}.String()).Result() },
			said{"chat.postEphemeral", channel, "started bay vodka"},
		},
		"by a command, answered where it was typed": {
			func(r *rig) *http.Response { return r.command("start").Result() },
			said{"chat.postEphemeral", channel, "started bay vodka"},
		},
		"by a button on somebody's own page": {
			func(r *rig) *http.Response {
				return r.interact(homeTap(`{"k":"bench"}`, kitchen.Tap{Line: "change"}.String())).Result()
			},
			said{"chat.postMessage", bar1, "started bay vodka"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := newRig(t)
				r.desk.answer = formDesk
				if res := tc.ask(r); res.StatusCode != http.StatusOK || res.ContentLength > 0 {
					t.Errorf("the form's asking was acknowledged with %+v", res)
				}
				synctest.Wait()
				view := opened(t, r)
				if got := r.slack.said(); len(got) != 0 {
					t.Errorf("said besides: %q", got)
				}
				// What is wrong with a field is shown there, and the form stays.
				w := r.interact(submission(t, view, "t2", "bay vodka", ""))
				want := `{"response_action":"errors","errors":{"field-volume":"How much?"}}`
				if got := strings.TrimSpace(w.Body.String()); got != want {
					t.Errorf("objected with %s, want %s", got, want)
				}
				// Put right it closes; sent again it changes and says nothing more.
				for range 2 {
					if w := r.interact(submission(t, view, "t3", "bay vodka", "400\u00a0ml")); w.Code != http.StatusOK || w.Body.Len() != 0 {
						t.Errorf("status %d, body %q", w.Code, w.Body)
					}
				}
				r.close(t)
				heard := r.desk.commands()
				last := heard[len(heard)-1]
				if len(heard) != 3 || last.By.ID != bar1 || last.ID != "form:t3" {
					t.Errorf("heard %+v", heard)
				}
				filled := &kitchen.Filled{
					Name: last.Form.Name, Carry: "batch 7, turn 2", Fields: map[string]string{"recipe": "bay vodka", "volume": "400 ml"},
				}
				if diff := cmp.Diff(filled, last.Form); diff != "" || last.Form.Name == "" {
					t.Error(diff)
				}
				var got []said
				for _, method := range []string{"chat.postMessage", "chat.postEphemeral"} {
					for _, c := range r.slack.to(method) {
						got = append(got, said{method, c.form.Get("channel"), c.form.Get("text")})
					}
				}
				if diff := cmp.Diff([]said{tc.answer}, got); diff != "" {
					t.Error(diff)
				}
			})
		})
	}
}

// Source: docs.slack.dev, modals, response_action update.
func TestAFormThatFollowsOnAnotherTakesItsPlace(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		r.desk.answer = func(_ context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
			return kitchen.Answer{Kind: kitchen.OpenForm, Form: kitchen.FormStart}, nil
		}
		r.command("start")
		synctest.Wait()
		view := opened(t, r)
		for range 2 { // sent again it gets the same
			w := r.interact(submission(t, view, "t2", "bay vodka", "400ml"))
			var got struct {
				Action string `json:"response_action"`
				View   struct {
					Type   string            `json:"type"`
					Blocks []json.RawMessage `json:"blocks"`
				} `json:"view"`
			}
			if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil {
				t.Fatal(err)
			}
			if got.Action != "update" || got.View.Type != "modal" || len(got.View.Blocks) == 0 {
				t.Errorf("answered with %s", w.Body)
			}
		}
		r.close(t)
		opened(t, r) // and none besides
		if got := r.slack.said(); len(got) != 0 {
			t.Errorf("said %q", got)
		}
	})
}

func TestAFormTooLongForASocketIsOpenedAnew(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		view := drawForm(voice.Form{Title: "x", Submit: "x", Fields: []voice.Field{{ID: "line", Label: "Line"}}}, "{}")
		acked := 0
		r.followUp(ask{kind: form, trigger: "t1"}, view, false, func(reply any) bool {
			acked++
			return false
		})
		r.close(t)
		opened(t, r)
		if acked != 1 {
			t.Errorf("acknowledged %d times", acked)
		}
	})
}

func TestAnObjectionToAFieldThatIsNotThereIsSaid(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		r.desk.answer = formDesk
		r.slack.answer = func(c call) (int, string) {
			if c.path == "chat.postEphemeral" { // the person is not in the channel
				return http.StatusOK, slackSays("user_not_in_channel")
			}
			return http.StatusOK, ""
		}
		r.command("start")
		synctest.Wait()
		if w := r.interact(submission(t, opened(t, r), "t2", "bay vodka", "9l")); w.Body.Len() != 0 {
			t.Errorf("acknowledged with %q", w.Body)
		}
		r.close(t)
		posts := r.slack.to("chat.postMessage")
		if len(posts) != 1 || posts[0].form.Get("channel") != bar1 || posts[0].form.Get("text") != "No vessel holds 9 l." {
			t.Errorf("posted %+v", posts)
		}
	})
}

func TestAFormThatDoesNotOpenIsSaid(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.desk.answer = formDesk
	r.slack.answer = func(c call) (int, string) {
		if c.path == "views.open" {
			return http.StatusOK, slackSays("expired_trigger_id") // views.open, docs.slack.dev
		}
		return http.StatusOK, ""
	}
	r.command("start")
	r.close(t)
	if diff := cmp.Diff([]string{"too late"}, r.slack.said()); diff != "" {
		t.Error(diff)
	}
}

func TestAFormIsOpenedBesideAnAcknowledgementThatCouldNotWait(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
			time.Sleep(2700 * time.Millisecond) // in the bubble
			return kitchen.Answer{Kind: kitchen.OpenForm, Form: kitchen.FormStart}, nil
		}
		if w := r.command("start"); !strings.Contains(w.Body.String(), "not saved yet") {
			t.Errorf("acknowledged with %q", w.Body)
		}
		r.close(t)
		opened(t, r)
		if got := r.slack.said(); len(got) != 0 {
			t.Errorf("said %q", got)
		}
	})
}

func TestWhoIsInAnotherTeamIsAStranger(t *testing.T) {
	t.Parallel()
	act := func(user, team string) bool {
		body := tapBody(kitchen.Tap{Line: "charged A"}.String())
		body = strings.Replace(body, `"team":{"id":"T0HOUSE"}`, `"team":`+team+`,"enterprise":{"id":"E0ORG","name":"x"}`, 1)
		body = strings.Replace(body, `"username":"bar-1"`, `"username":"bar-1","team_id":"`+user+`"`, 1)
		a, err := decodeAct([]byte(body), nobody, time.Now())
		if err != nil {
			t.Fatal(err)
		}
		return a.stranger
	}
	event := func(fields, outer string) bool {
		var cb callback
		body := `{"type":"event_callback","team_id":"T0HOUSE",` + outer + `"event":{"type":"app_mention","channel":"C0BENCH","user":"W0BAR1",` +
			`"text":"<@U0BOT> resting","ts":"1764000200.000300",` + fields + `}}`
		if err := json.Unmarshal([]byte(body), &cb); err != nil {
			t.Fatal(err)
		}
		a, err := decodeEvent(cb, bot, time.Now())
		if err != nil || a == nil {
			t.Fatalf("decode %s: %v", body, err)
		}
		return a.stranger
	}
	slashed := func(team, ours string, whole yes) bool {
		a, err := slashCommand{Channel: channel, User: bar1, Trigger: "t", Team: team, Whole: whole}.ask(time.Now(), ours)
		if err != nil {
			t.Fatal(err)
		}
		return a.stranger
	}
	const org = `"enterprise_id":"E0ORG","authorizations":[{"enterprise_id":"E0ORG","team_id":null,"is_enterprise_install":true}],`
	for name, tc := range map[string]struct{ got, want bool }{
		"our own tap":                             {act("T0HOUSE", `{"id":"T0HOUSE"}`), false},
		"a tap from another company":              {act("T0OTHER", `{"id":"T0HOUSE"}`), true},
		"a tap by the organisation's own account": {act("E0ORG", `{"id":"T0HOUSE"}`), false},
		"a tap where no team let us in":           {act("T0OTHER", `null`), false},
		"our own message":                         {event(`"team":"T0HOUSE","user_team":"T0HOUSE","source_team":"T0HOUSE"`, ""), false},
		"a message that names no team":            {event(`"x":1`, ""), false},
		"a message from another company":          {event(`"user_team":"T0OTHER"`, `"is_ext_shared_channel":true,`), true},
		"the same by its source":                  {event(`"source_team":"T0OTHER"`, `"is_ext_shared_channel":true,"context_team_id":"T0HOUSE",`), true},
		"in an organisation, another of its teams": {
			event(`"user_team":"T0SECOND"`, org), false,
		},
		"in an organisation's shared channel": {event(`"user_team":"T0OTHER"`, `"is_ext_shared_channel":true,`+org), true},
		"the organisation's own in it":        {event(`"user_team":"E0ORG"`, `"is_ext_shared_channel":true,`+org), false},
		"our own command":                     {slashed("T0HOUSE", "T0HOUSE", false), false},
		"another's command":                   {slashed("T0OTHER", "T0HOUSE", false), true},
		"a command in an organisation":        {slashed("T0SECOND", "E0ORG", true), false},
		"a command before we know our team":   {slashed("T0OTHER", "", false), false},
	} {
		if tc.got != tc.want {
			t.Errorf("%s: stranger is %v, want %v", name, tc.got, tc.want)
		}
	}
}

func TestInteractionsThatAreNotOursAreLeftAlone(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	for _, body := range []string{
		`{"type":"view_closed","user":{"id":"U1"},"view":{"callback_id":"bell-form"}}`,
		`{"type":"view_submission","user":{"id":"U1"},"view":{"callback_id":"another"}}`,
		`{"type":"block_suggestion","user":{"id":"U1"}}`,
		shortcutBody("another", "t"),
		strings.Replace(readingBody("x", "t"), "bell-read", "another", 1),
		`{"type":"from_the_future"}`,
	} {
		if w := r.interact(body); w.Code != http.StatusOK || w.Body.Len() != 0 {
			t.Errorf("%s: status %d, body %q", body, w.Code, w.Body)
		}
	}
	// One of ours that carries nothing of ours is answered.
	r.interact(`{"type":"view_submission","trigger_id":"t9","user":{"id":"` + bar1 + `"},"view":{"callback_id":"bell-form","private_metadata":"?"}}`)
	r.close(t)
	if heard := r.desk.commands(); len(heard) != 0 {
		t.Errorf("heard %v", heard)
	}
	if diff := cmp.Diff([]string{"broken"}, r.slack.said()); diff != "" {
		t.Error(diff)
	}
}
