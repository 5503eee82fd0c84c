package practice

import (
	"context"
	"errors"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/clock"
)

func TestPlainTextIsWhatAReaderSees(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	for in, want := range map[string]string{
		"*Vent 18:06, A*, <@" + c.bar1 + ">: upright.": "Vent 18:06, A, @bar-1: upright.",
		"<@" + c.larder + "|larder> did":               "@larder did",
		"<@U404>":                                      "@U404",
		"in <#" + c.bench + ">":                        "in #prep-bench",
		"<!here> look":                                 "@here look",
		"Vent <!date^1795543580^{time_secs}|18:06:20>": "Vent 18:06:20",
		"S&amp;B &lt;hot&gt; &amp;lt;":                 "S&B <hot> &lt;",
		"2 * 3 * 4":                                    "2 * 3 * 4",
		"reply `vented B`":                             "reply `vented B`",
		"see <https://example.org/a|the manual>":       "see the manual",
		"see <https://example.org/a>":                  "see https://example.org/a",
		"two\nlines":                                   "two\nlines",
	} {
		if got := c.Plain(in); got != want {
			t.Errorf("%q reads %q, want %q", in, got, want)
		}
	}
}

func TestLinesFallBackToBlocksAndShowButtons(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	blocks, no := readBlocks(`[{"type":"header","text":{"type":"plain_text","text":"Board"}},
		{"type":"section","text":{"type":"mrkdwn","text":"*A* rests\nuntil 18:06"},"accessory":{"type":"button","text":{"type":"plain_text","text":"Help"}}},
		{"type":"actions","elements":[{"type":"button","text":{"type":"plain_text","text":"S&amp;B"}},{"type":"button","text":{"type":"plain_text","text":"+15 s"}}]}]`, c.next)
	if no != nil {
		t.Fatalf("%+v", no)
	}
	got := c.Lines(Message{Blocks: blocks})
	if diff := cmp.Diff([]string{"Board", "A rests", "until 18:06", "[Help] [S&B] [+15 s]"}, got); diff != "" {
		t.Error(diff)
	}
}

// still is a room without sockets, whose calls a test makes as the API would.
func still(t *testing.T) (*Room, string) {
	t.Helper()
	r := New(Config{Clock: clock.Starting(evening(), 1), Scopes: []string{"chat:write"}})
	bench := r.AddChannel("prep-bench")
	r.Join(bench, true)
	return r, bench
}

func TestWatchGivesEveryChangeInOrder(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r, bench := still(t)
		defer r.Close()
		if _, no := postMessage(r, map[string]string{"channel": bench, "text": "before"}); no != nil {
			t.Fatal(no)
		}
		ctx, cancel := context.WithCancel(t.Context())
		changes := r.Watch(ctx)
		out, _ := postMessage(r, map[string]string{"channel": bench, "text": "Rest"})
		at := map[string]string{"channel": bench, "ts": out["ts"].(string), "text": "Vent"}
		for _, step := range []func(*Room, map[string]string) (fields, *refusal){updateMessage, deleteMessage} {
			if _, no := step(r, at); no != nil {
				t.Fatal(no)
			}
		}
		for _, want := range []struct {
			kind Kind
			text string
		}{{Posted, "Rest"}, {Edited, "Vent"}, {Deleted, "Vent"}} {
			if got := <-changes; got.Kind != want.kind || got.Message.Text != want.text {
				t.Errorf("got %+v, want %+v", got, want)
			}
		}
		cancel()
		if c, open := <-changes; open {
			t.Errorf("after its end the watch gave %+v", c)
		}
	})
}

func TestWaitSeesWhatComesAndSaysWhatStood(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r, bench := still(t)
		defer r.Close()
		go func() {
			time.Sleep(time.Minute) // the bubble's time
			postMessage(r, map[string]string{"channel": bench, "text": "Vent A"})
		}()
		two := func(n int) func([]Message) bool { return func(m []Message) bool { return len(m) == n } }
		if err := r.Wait(t.Context(), bench, two(1)); err != nil {
			t.Error(err)
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
		defer cancel()
		err := r.Wait(ctx, "", two(2))
		if !errors.Is(err, context.DeadlineExceeded) || !strings.Contains(err.Error(), "bell  Vent A") {
			t.Errorf("got %v", err)
		}
	})
}
