package chat

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
)

func TestEventsThatAreForUs(t *testing.T) {
	t.Parallel()
	const ts = `"ts":"1764000200.000300"`
	in := `"channel":"` + channel + `","user":"` + bar1 + `",`
	by := kitchen.Person{ID: bar1, Name: "bar-1"}
	at := time.Unix(1764000200, 300000)
	type where struct{ Channel, Thread string }
	for name, tc := range map[string]struct {
		event string
		want  string // what the desk hears; "" = nothing
		where where
	}{
		"a mention": {
			`"type":"app_mention",` + in + `"text":"<@U0BOT> start rhubarb gin 400ml",` + ts,
			"start rhubarb gin 400ml",
			where{channel, "1764000200.000300"},
		},
		"a mention with a name in it": {
			`"type":"app_mention",` + in + `"text":"hello <@U0BOT|bell> resting",` + ts,
			"hello   resting",
			where{channel, "1764000200.000300"},
		},
		"a mention in a thread": {
			`"type":"app_mention",` + in + `"text":"<@U0BOT> vented A","thread_ts":"1764000100.000100",` + ts,
			"vented A",
			where{channel, "1764000100.000100"},
		},
		"a mention that comes as a message": {
			`"type":"message","channel_type":"channel",` + in + `"text":"<@U0BOT> vented A",` + ts,
			"vented A",
			where{channel, "1764000200.000300"},
		},
		"a reply in our thread": {
			`"type":"message","channel_type":"channel",` + in + `"text":"strained A 345 ok","thread_ts":"1764000100.000100","parent_user_id":"U0BOT",` + ts,
			"strained A 345 ok",
			where{channel, "1764000100.000100"},
		},
		"a reply in our private channel's thread": {
			`"type":"message","channel_type":"group",` + in + `"text":"strained A","thread_ts":"1764000100.000100","parent_user_id":"U0BOT",` + ts,
			"strained A",
			where{channel, "1764000100.000100"},
		},
		"a direct message": {
			`"type":"message","channel_type":"im","channel":"D0BAR1","user":"U0BAR1","text":"mine",` + ts,
			"mine",
			where{"D0BAR1", ""},
		},
		"a direct message in a thread": {
			`"type":"message","channel_type":"im","channel":"D0BAR1","user":"U0BAR1","text":"mine","thread_ts":"1764000100.000100",` + ts,
			"mine",
			where{"D0BAR1", "1764000100.000100"},
		},
		"escapes and links": {
			`"type":"app_mention",` + in + `"text":"<@U0BOT> start S&amp;B &lt;hot&gt; <http://x.test|x.test> <#C1|bench> <@U0CLOSER|closer> <@U9> &amp;lt;",` + ts,
			"start S&B <hot> x.test #bench @U0CLOSER @U9 &lt;",
			where{channel, "1764000200.000300"},
		},
		"unknown fields": {
			`"type":"app_mention",` + in + `"text":"<@U0BOT> resting","blocks":[{"type":"section","text":5}],"files":"?","new":{"a":[1]},` + ts,
			"resting",
			where{channel, "1764000200.000300"},
		},
		"a reply in our thread that the channel sees too": {
			`"type":"message","subtype":"thread_broadcast","channel_type":"channel",` + in + `"text":"strained A","thread_ts":"1764000100.000100","root":{"user":"U0BOT","bot_id":"B0"},` + ts,
			"strained A",
			where{channel, "1764000100.000100"},
		},
		"a picture with a line below it": {
			`"type":"message","subtype":"file_share","channel_type":"im","channel":"D0BAR1","user":"U0BAR1","files":[{"id":"F1"}],"text":"label A",` + ts,
			"label A",
			where{"D0BAR1", ""},
		},
		"a mention from an organisation": {
			`"type":"app_mention","channel":"C0BENCH","user":"U0BAR1","user_team":"E0ORG","source_team":"E0ORG","team":"T0HOUSE","text":"<@U0BOT> resting",` + ts,
			"resting",
			where{channel, "1764000200.000300"},
		},
		"a reply of ours that the channel sees too": {event: `"type":"message","subtype":"thread_broadcast","channel_type":"channel","channel":"C0BENCH","user":"U0BOT","text":"Vent A","thread_ts":"1764000100.000100","root":{"user":"U0BOT"},` + ts},
		"a bot's post in the old way":               {event: `"type":"message","subtype":"bot_message","channel_type":"channel","channel":"C0BENCH","bot_id":"B9","text":"<@U0BOT> scrap A",` + ts},
		"somebody who joined":                       {event: `"type":"message","subtype":"channel_join","channel_type":"channel",` + in + `"text":"<@U0BAR1> has joined",` + ts},
		"talk in the channel":                       {event: `"type":"message","channel_type":"channel",` + in + `"text":"start pepper tequila",` + ts},
		"a reply to somebody else":                  {event: `"type":"message","channel_type":"channel",` + in + `"text":"ok","thread_ts":"1764000100.000100","parent_user_id":"U0LARDER",` + ts},
		"a thread's first message":                  {event: `"type":"message","channel_type":"channel",` + in + `"text":"ok","thread_ts":"1764000200.000300","parent_user_id":"U0BOT",` + ts},
		"an edit":                                   {event: `"type":"message","subtype":"message_changed","channel_type":"im","channel":"D0BAR1","message":{"text":"x"},` + ts},
		"a deletion":                                {event: `"type":"message","subtype":"message_deleted","channel_type":"im","channel":"D0BAR1",` + ts},
		"our own message":                           {event: `"type":"message","channel_type":"im","channel":"D0BAR1","user":"U0BOT","text":"Vent A",` + ts},
		"another bot's mention":                     {event: `"type":"app_mention",` + in + `"bot_id":"B9","text":"<@U0BOT> scrap A",` + ts},
		"a message of nobody":                       {event: `"type":"message","channel_type":"im","channel":"D0BAR1","text":"x",` + ts},
		"another event":                             {event: `"type":"channel_created","channel":{"id":"C9","name":"new"},"event_ts":"1.2"`},
		"a message of another form":                 {event: `"type":"message","channel":{"id":"C9"},` + ts},
		"an event without a type":                   {event: `"x":1`},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			if w := r.event(tc.event); w.Code != http.StatusOK || w.Body.Len() != 0 {
				t.Errorf("status %d, body %q", w.Code, w.Body)
			}
			r.close(t)
			if tc.want == "" {
				if heard, said := r.desk.commands(), r.slack.said(); len(heard)+len(said) != 0 {
					t.Errorf("heard %v, said %q", heard, said)
				}
				return
			}
			id := "msg:T0HOUSE/" + tc.where.Channel + "/1764000200.000300"
			from := tc.where.Channel + "/1764000200.000300"
			want := []kitchen.Command{{ID: id, Text: tc.want, By: by, At: at, Message: from, Direct: strings.HasPrefix(tc.where.Channel, "D")}}
			if diff := cmp.Diff(want, r.desk.commands()); diff != "" {
				t.Error(diff)
			}
			posts := r.slack.to("chat.postMessage")
			if len(posts) != 1 {
				t.Fatalf("answered %d times", len(posts))
			}
			got := where{posts[0].form.Get("channel"), posts[0].form.Get("thread_ts")}
			if diff := cmp.Diff(tc.where, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestATapIsHeardAsTheButtonSays(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.desk.answer = func(_ context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
		return kitchen.Answer{Private: cmd.Tap.N == 2, Line: "charger " + strconv.Itoa(cmd.Tap.N)}, nil
	}
	one := kitchen.Tap{Line: "charged A", Batch: 7, Turn: 3, N: 1, With: "take"}
	two := kitchen.Tap{Line: "charged A", Batch: 7, Turn: 3, N: 2}
	for i, tap := range []kitchen.Tap{one, two} {
		body := strings.Replace(tapBody(tap.String()), "bell-1", fmt.Sprint("bell-", i), 1)
		if w := r.interact(body); w.Code != http.StatusOK || w.Body.Len() != 0 {
			t.Errorf("status %d, body %q", w.Code, w.Body)
		}
	}
	r.close(t)
	heard := r.desk.commands()
	if len(heard) != 2 {
		t.Fatalf("heard %v", heard)
	}
	want := kitchen.Command{
		ID: heard[0].ID, Tap: &one, By: kitchen.Person{ID: bar1, Name: "bar-1"}, At: time.Unix(1764000123, 450000000),
		Message: "C0BENCH/1764000000.000100",
	}
	if diff := cmp.Diff(want, heard[0]); diff != "" || !strings.HasPrefix(want.ID, "tap:") {
		t.Errorf("id %q\n%s", want.ID, diff)
	}
	// What the slip shows anyway is not said again; what concerns one person
	// is said to that person only.
	if diff := cmp.Diff([]string{"charger 2"}, r.slack.said()); diff != "" {
		t.Error(diff)
	}
	if n := r.slack.to("once")[0].note; n.Type != "ephemeral" || n.Replace {
		t.Errorf("sent %+v", n)
	}
}

func TestOneTapHasOneIDAndAnotherTapAnother(t *testing.T) {
	t.Parallel()
	id := func(body string) string {
		a, err := decodeAct([]byte(body), nobody, time.Now())
		if err != nil || a == nil {
			t.Fatalf("decode tap: %v, %v", a, err)
		}
		return a.id
	}
	body := tapBody(kitchen.Tap{Line: "charged A"}.String())
	if again := id(body); again != id(body) {
		t.Errorf("the same tap is %q and %q", id(body), again)
	}
	for what, other := range map[string]string{
		"person": strings.Replace(body, bar1, "U0LARDER", 1), "moment": strings.Replace(body, "123.45", "123.46", 1),
		"button": strings.Replace(body, "bell-1", "bell-2", 1), "message": strings.Replace(body, "000.000100", "000.000200", 1),
	} {
		if id(other) == id(body) {
			t.Errorf("a tap with another %s has the same id", what)
		}
	}
}

func TestAButtonThatIsNotReadableIsAnsweredAndChangesNothing(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	if w := r.press("from another age"); w.Code != http.StatusOK {
		t.Errorf("status %d", w.Code)
	}
	r.send("/slack/actions", formType, "payload="+`{"type":"view_submission","user":{"id":"U1"}}`)
	r.send("/slack/actions", formType, "payload="+strings.Replace(tapBody("1.1.1. x"), "bell-1", "other", 1))
	r.close(t)
	if heard := r.desk.commands(); len(heard) != 0 {
		t.Errorf("heard %v", heard)
	}
	if diff := cmp.Diff([]string{"broken"}, r.slack.said()); diff != "" {
		t.Error(diff)
	}
}

func TestAMentionThatArrivesTwiceIsHandledOnce(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	fields := `"channel":"` + channel + `","user":"` + bar1 + `","text":"<@U0BOT> charged A","ts":"1764000200.000300"`
	r.event(`"type":"app_mention",` + fields)
	r.event(`"type":"message","channel_type":"channel",` + fields)
	r.event(`"type":"app_mention",` + fields) // Slack saw no acknowledgement
	r.close(t)
	if heard, said := r.desk.commands(), r.slack.said(); len(heard) != 1 || len(said) != 1 {
		t.Errorf("heard %v, said %q", heard, said)
	}
}

func TestARepeatOfAMessageUnderWayIsAcknowledgedWithIt(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, func(c *Config) { c.Patience = time.Second })
		r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
			<-time.After(4 * time.Second)
			return kitchen.Answer{Line: "kept"}, nil
		}
		fields := `"type":"app_mention","channel":"` + channel + `","user":"` + bar1 + `","text":"<@U0BOT> charged A","ts":"1764000200.000300"`
		began := time.Now()
		for i := 1; i <= 3; i++ {
			r.event(fields)
			if took := time.Since(began); took != time.Duration(i)*time.Second {
				t.Errorf("acknowledged after %v", took)
			}
		}
		r.close(t)
		if diff := cmp.Diff([]string{"not saved yet", "kept"}, r.slack.said()); diff != "" {
			t.Error(diff)
		}
	})
}

func TestWhatFailedMayBeSaidAgain(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	fails := true
	r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
		if fails {
			fails = false
			return kitchen.Answer{}, context.DeadlineExceeded
		}
		return kitchen.Answer{Line: "kept"}, nil
	}
	fields := `"type":"app_mention","channel":"` + channel + `","user":"` + bar1 + `","text":"<@U0BOT> charged A","ts":"1764000200.000300"`
	r.event(fields)
	r.event(fields)
	r.close(t)
	if got := r.tally.count("mention broken") + 10*r.tally.count("mention ok"); got != 11 {
		t.Errorf("heard %v", r.tally.heard)
	}
}

func TestWhoseKitchenItIs(t *testing.T) {
	t.Parallel()
	two := func(c *Config) { c.Kitchens["C0BAR"] = "bar" }
	from := func(where string) string { return strings.Replace(slashBody("resting", "t"), channel, where, 1) }
	for name, tc := range map[string]struct {
		change func(*Config)
		where  string
		want   string
	}{
		"its channel's":                       {where: channel, want: "done"},
		"an unknown channel":                  {where: "C0OTHER", want: "no kitchen"},
		"the only one, in a direct message":   {where: "D0BAR1", want: "done"},
		"the first, in a direct message":      {change: two, where: "D0BAR1", want: "done"},
		"its channel's, when there are two":   {change: two, where: "C0BAR", want: "done"},
		"an unknown channel, with two around": {change: two, where: "C0OTHER", want: "no kitchen"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var change []func(*Config)
			if tc.change != nil {
				change = append(change, tc.change)
			}
			r := newRig(t, change...)
			if w := r.send("/slack/commands", formType, from(tc.where)); !strings.Contains(w.Body.String(), tc.want) {
				t.Errorf("answered %q, want %q", w.Body, tc.want)
			}
			r.close(t)
		})
	}
}

func TestNamesComeFromThePayloadFromBeforeOrFromSlack(t *testing.T) {
	t.Parallel()
	mentioned := func(n int) string {
		return fmt.Sprintf(`"type":"app_mention","channel":%q,"user":%q,"text":"<@U0BOT> resting","ts":"176400020%d.0"`, channel, bar1, n)
	}
	names := func(r *rig) (list []string) {
		for _, cmd := range r.desk.commands() {
			list = append(list, cmd.By.Name)
		}
		return list
	}
	t.Run("from Slack, once", func(t *testing.T) {
		t.Parallel()
		r := newRig(t)
		r.event(mentioned(1))
		r.event(mentioned(2))
		r.close(t)
		if diff := cmp.Diff([]string{"bar-1", "bar-1"}, names(r)); diff != "" || len(r.slack.to("users.info")) != 1 {
			t.Errorf("asked %d times\n%s", len(r.slack.to("users.info")), diff)
		}
	})
	t.Run("from a command before", func(t *testing.T) {
		t.Parallel()
		r := newRig(t)
		r.command("resting")
		r.event(mentioned(1))
		r.close(t)
		if diff := cmp.Diff([]string{"bar-1", "bar-1"}, names(r)); diff != "" || len(r.slack.to("users.info")) != 0 {
			t.Errorf("asked %d times\n%s", len(r.slack.to("users.info")), diff)
		}
	})
	t.Run("the id, where Slack does not allow to look", func(t *testing.T) {
		t.Parallel()
		r := newRig(t)
		r.slack.answer = func(c call) (int, string) {
			if c.path == "users.info" {
				return http.StatusOK, `{"ok":false,"error":"missing_scope","needed":"users:read"}`
			}
			return http.StatusOK, ""
		}
		r.event(mentioned(1))
		r.event(mentioned(2))
		r.close(t)
		if diff := cmp.Diff([]string{bar1, bar1}, names(r)); diff != "" || len(r.slack.to("users.info")) != 1 {
			t.Errorf("asked %d times\n%s", len(r.slack.to("users.info")), diff)
		}
	})
}

func TestWithoutKnowingWhoWeAreMentionsAndDirectMessagesStillWork(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.slack.answer = func(c call) (int, string) {
		if c.path == "auth.test" {
			return http.StatusOK, `{"ok":false}`
		}
		return http.StatusOK, ""
	}
	r.event(`"type":"app_mention","channel":"` + channel + `","user":"U0BAR1","text":"<@U0BOT> vented A","ts":"1764000201.0"`)
	r.event(`"type":"message","channel_type":"im","channel":"D0BAR1","user":"U0BAR1","text":"mine","ts":"1764000202.0"`)
	r.event(`"type":"message","channel_type":"channel","channel":"` + channel + `","user":"U0BAR1","text":"x","thread_ts":"1764000201.0","parent_user_id":"","ts":"1764000203.0"`)
	r.close(t)
	var got []string
	for _, cmd := range r.desk.commands() {
		got = append(got, cmd.Text)
	}
	if diff := cmp.Diff([]string{"vented A", "mine"}, got); diff != "" {
		t.Error(diff)
	}
	if asked := len(r.slack.to("auth.test")); asked != 1 {
		t.Errorf("asked %d times within ten seconds", asked)
	}
}

func TestMomentReadsSlacksTimestampsToTheMicrosecond(t *testing.T) {
	t.Parallel()
	for ts, want := range map[string]int64{
		"1764000200.000300": 1764000200000300, "1764000200": 1764000200000000, "1764000200.5": 1764000200500000,
		"": 0, "x.1": 0, "-5.1": 0, "1764000200.0000001": 0, "1764000200.x": 0, "0.1": 0,
	} {
		got, ok := moment(ts)
		if ok != (want != 0) || ok && got.UnixMicro() != want {
			t.Errorf("moment(%q) = %v, %v", ts, got, ok)
		}
	}
}
