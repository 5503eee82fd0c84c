package chat

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
)

// looked is the event of somebody opening their page. Shape:
// docs.slack.dev, app_home_opened; view is there once one was published.
func looked(user, tab, more string) string {
	return `"type":"app_home_opened","user":"` + user + `","channel":"D0X","tab":"` + tab + `","event_ts":"1764000200.1"` + more
}

// pages gives what was published, as "user kitchen: text".
func pages(t *testing.T, r *rig) []string {
	t.Helper()
	var list []string
	for _, c := range r.slack.to("views.publish") {
		var sent struct {
			User string `json:"user_id"`
			View struct {
				Type   string `json:"type"`
				Meta   string `json:"private_metadata"`
				Blocks []struct {
					Text struct {
						Text string `json:"text"`
					} `json:"text"`
				} `json:"blocks"`
			} `json:"view"`
		}
		if err := json.Unmarshal([]byte(c.body), &sent); err != nil {
			t.Fatal(err)
		}
		text := ""
		for _, b := range sent.View.Blocks {
			text += b.Text.Text
		}
		list = append(list, fmt.Sprintf("%s %s: %s", sent.User, parseMeta(sent.View.Meta).Kitchen, text))
	}
	return list
}

func TestAPageIsPublishedWhenItsPersonLooks(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		r.event(looked(bar1, "home", ""))
		r.event(looked(bar1, "home", "")) // sent again
		r.event(looked("U0LARDER", "messages", ""))
		synctest.Wait()
		r.event(looked(bar1, "home", `,"view":{"id":"V0HOME"},"x":2`)) // Slack shows the page already
		synctest.Wait()
		if diff := cmp.Diff([]string{"U0BAR1 bench: page of bar-1"}, pages(t, r)); diff != "" {
			t.Error(diff)
		}
		r.event(looked(bar1, "home", `,"x":3`)) // Slack shows none: it was installed anew
		synctest.Wait()
		if n := len(pages(t, r)); n != 2 {
			t.Errorf("published %d times", n)
		}
		r.close(t)
		if got := r.tally.count("home ok") + 10*r.tally.count("home repeat"); got != 13 {
			t.Errorf("heard %v", r.tally.heard)
		}
		if heard := r.desk.commands(); len(heard) != 0 {
			t.Errorf("heard %v", heard)
		}
	})
}

func TestAPageIsPublishedAgainWhenItsKitchenChanged(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		var n atomic.Int32
		r := newRig(t, func(c *Config) {
			c.Kitchens["C0BAR"] = "bar"
			c.Voice = plainVoice{home: func(p kitchen.Person) string { return fmt.Sprint(p.Name, " ", n.Load()) }}
		})
		defer r.close(t)
		began := time.Now()
		r.event(looked(bar1, "home", "")) // the first kitchen by name: bar
		synctest.Wait()
		expect := func(after time.Duration, want int) {
			t.Helper()
			time.Sleep(after - time.Since(began)) // in the bubble
			synctest.Wait()
			if got := len(pages(t, r)); got != want {
				t.Fatalf("after %v: published %d times, want %d: %q", after, got, want, pages(t, r))
			}
		}
		// Three changes within five seconds are one page.
		for i := range 3 {
			n.Add(1)
			body := strings.Replace(slashBody("resting", fmt.Sprint("t", i)), channel, "C0BAR", 1)
			body = strings.ReplaceAll(body, bar1, "U0LARDER")
			r.send("/slack/commands", formType, body)
		}
		expect(4*time.Second, 1)
		expect(6*time.Second, 2)
		// A call that goes out, and a slip that changes, change the page too.
		n.Add(1)
		if _, err := r.Post(t.Context(), runner.Posting{Lane: "C0BAR", Message: words("Vent A")}); err != nil {
			t.Fatal(err)
		}
		expect(11*time.Second, 3)
		n.Add(1)
		if err := r.Update(t.Context(), "C0BAR", "1.1", words("Vent A")); err != nil {
			t.Fatal(err)
		}
		expect(16*time.Second, 4)
		// What comes out the same is not published; another kitchen is another's.
		if err := r.Update(t.Context(), "C0BAR", "1.1", words("Vent A")); err != nil {
			t.Fatal(err)
		}
		expect(22*time.Second, 4)
		n.Add(1)
		if err := r.Update(t.Context(), channel, "1.1", words("Vent A")); err != nil {
			t.Fatal(err)
		}
		expect(30*time.Second, 4)
		// Another replica's change is seen at the next look all the same.
		expect(60*time.Second, 5)
		// After half an hour the page is let go.
		expect(31*time.Minute, 5)
		looks := r.desk.looks()
		n.Add(1)
		if err := r.Update(t.Context(), "C0BAR", "1.1", words("Vent A")); err != nil {
			t.Fatal(err)
		}
		expect(40*time.Minute, 5)
		if again := r.desk.looks(); again != looks {
			t.Errorf("looked %d times more", again-looks)
		}
	})
}

func TestATapOnThePageIsCarriedOutAndShowsAtOnce(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		var n atomic.Int32
		r := newRig(t, func(c *Config) {
			c.Kitchens["C0BAR"] = "bar"
			c.Voice = plainVoice{home: func(p kitchen.Person) string { return fmt.Sprint(p.Name, " ", n.Load()) }}
		})
		private := false
		r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
			n.Add(1)
			return kitchen.Answer{Line: "done", Private: private}, nil
		}
		began := time.Now()
		for _, tap := range []string{"vented A", "strained A"} {
			if w := r.interact(strings.Replace(homeTap(`{"k":"bench"}`, kitchen.Tap{Line: tap}.String()), "bell-1", "bell-"+tap, 1)); w.Code != http.StatusOK {
				t.Errorf("status %d", w.Code)
			}
			synctest.Wait()
			private = true // concerns only this person: the page does not say it
		}
		if took := time.Since(began); took != 0 {
			t.Errorf("took %v", took)
		}
		r.close(t)
		if diff := cmp.Diff([]string{"U0BAR1 bench: bar-1 1", "U0BAR1 bench: bar-1 2"}, pages(t, r)); diff != "" {
			t.Error(diff)
		}
		if diff := cmp.Diff([]string{"bench", "bench"}, r.desk.where); diff != "" {
			t.Error(diff)
		}
		posts := r.slack.to("chat.postMessage")
		if len(posts) != 1 || posts[0].form.Get("channel") != bar1 {
			t.Errorf("posted %+v", posts)
		}
	})
}

func TestAPageThatSlackRefusesIsTriedAgainOrLetGo(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		says string
		want int // times tried within 20 seconds
	}{
		"slow down":      {`{"ok":false,"error":"ratelimited"}`, 4},
		"no such person": {`{"ok":false,"error":"user_not_found"}`, 1},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := newRig(t)
				r.slack.answer = func(c call) (int, string) {
					if c.path == "views.publish" {
						return http.StatusOK, tc.says
					}
					return http.StatusOK, ""
				}
				r.event(looked(bar1, "home", ""))
				time.Sleep(19 * time.Second) // in the bubble
				synctest.Wait()
				if got := len(r.slack.to("views.publish")); got != tc.want {
					t.Errorf("tried %d times, want %d", got, tc.want)
				}
				r.close(t)
			})
		})
	}
}

func TestAPageThatTripsTakesNobodyElseAlong(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, func(c *Config) {
			c.Voice = plainVoice{home: func(p kitchen.Person) string {
				if p.ID == bar1 {
					panic("over the mat")
				}
				return "fine"
			}}
		})
		r.event(looked(bar1, "home", ""))
		synctest.Wait()
		r.event(looked("U0LARDER", "home", ""))
		synctest.Wait()
		r.close(t)
		if diff := cmp.Diff([]string{"U0LARDER bench: fine"}, pages(t, r)); diff != "" {
			t.Error(diff)
		}
	})
}

func TestWhoseKitchenAPersonIsIn(t *testing.T) {
	t.Parallel()
	r := newRig(t, func(c *Config) { c.Kitchens["C0BAR"] = "bar" })
	direct := func(n int) {
		r.event(fmt.Sprintf(`"type":"message","channel_type":"im","channel":"D0BAR1","user":%q,"text":"mine","ts":"176400020%d.0"`, bar1, n))
	}
	direct(1) // the first by name
	r.command("resting")
	direct(2) // where they were last
	r.interact(shortcutBody("bell-board", "t1"))
	r.interact(homeTap(`{"k":"bar"}`, kitchen.Tap{Line: "vented A"}.String())) // what the page was drawn for
	direct(3)
	r.interact(homeTap(`{"k":"closed long ago"}`, kitchen.Tap{Line: "strained A"}.String()))
	r.close(t)
	if diff := cmp.Diff([]string{"bar", "bench", "bench", "bench", "bar", "bar"}, r.desk.where); diff != "" {
		t.Error(diff)
	}
}
