package runner_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// again marks a message as a repeat.
func again(m voice.Message) voice.Message {
	m.Lines = append(slices.Clone(m.Lines), voice.Line{{Text: "(repeat)"}})
	return m
}

// finding has a runner look with f and mark repeats.
func finding(f runner.Finder) func(*runner.Config) {
	return func(c *runner.Config) { c.Finder, c.Repeat = f, again }
}

// kind makes an entry one of another kind.
func kind(k kitchen.EntryKind, e kitchen.Entry) kitchen.Entry {
	e.Kind = k
	return e
}

// slip is a batch's slip that says its key.
func slip(seq uint64) kitchen.Entry { return kind(kitchen.Slip, entry(seq, "1/slip")) }

var errScope = errors.New("scope missing")

func TestWhatWasTakenAfterAllIsFoundAndNotPostedAgain(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p, f := &lossy{wall: h.wall, lose: []error{reset()}}, &finder{wall: h.wall}
		h.run(t, p, finding(f))
		pass(time.Minute)
		h.put("k", urgent(entry(5, "1/vent.1")))
		pass(time.Minute)
		wantShown(t, h.wall, shown{At: time.Minute, Lane: "C1", Text: "1/vent.1"})
		began := h.now().Add(-time.Minute)
		got := h.record("k", "1/vent.1")
		want := kitchen.Sent{Key: "1/vent.1", Channel: "C1", TS: "ts1", Seq: 5, At: began, Digest: got.Digest}
		if diff := cmp.Diff(want, got); diff != "" || got.Digest == "" {
			t.Errorf("recorded (-want +got):\n%s", diff)
		}
		if diff := cmp.Diff([]time.Time{began}, f.looks()); diff != "" {
			t.Errorf("looked for since (-want +got):\n%s", diff)
		}
		if diff := cmp.Diff(map[string]int{"vent retried": 1, "vent found": 1}, h.tally.counts()); diff != "" {
			t.Errorf("counted (-want +got):\n%s", diff)
		}
	})
}

func TestWhatIsNotFoundIsPostedAgainPlain(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p, f := &refusing{wall: h.wall, refuse: map[string][]error{"1/": {reset(), reset()}}}, &finder{wall: h.wall}
		h.put("k", urgent(entry(1, "1/vent.1")))
		h.run(t, p, finding(f))
		pass(time.Minute)
		wantShown(t, h.wall, shown{At: 4 * time.Second, Lane: "C1", Text: "1/vent.1"})
		if n := len(f.looks()); n != 2 {
			t.Errorf("looked %d times, want once before each new try", n)
		}
		if got := h.record("k", "1/vent.1"); got.TS != "ts1" || got.Mark != "" || h.left("k") != 0 {
			t.Errorf("recorded %+v with %d left, want ts1 and none", got, h.left("k"))
		}
	})
}

func TestACallNobodyCanLookUpIsRepeatedOnceAndSaysSo(t *testing.T) {
	for name, f := range map[string]func(*house) runner.Finder{
		"no finder":      func(*house) runner.Finder { return nil },
		"no permission":  func(h *house) runner.Finder { return &finder{wall: h.wall, err: errScope} },
		"a stuck finder": func(h *house) runner.Finder { return &finder{wall: h.wall, err: &runner.Refusal{Stuck: true}} },
	} {
		t.Run(name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				h.run(t, &lossy{wall: h.wall, lose: []error{reset()}}, finding(f(h)))
				h.put("k", urgent(entry(1, "1/vent.1")))
				pass(time.Hour)
				wantShown(t, h.wall,
					shown{Lane: "C1", Text: "1/vent.1"},
					shown{At: 2 * time.Second, Lane: "C1", Text: "1/vent.1\n(repeat)"})
				if diff := cmp.Diff(map[string]int{"vent retried": 1, "vent repeated": 1}, h.tally.counts()); diff != "" {
					t.Errorf("counted (-want +got):\n%s", diff)
				}
			})
		})
	}
}

func TestARepeatThatIsNoSurerWaitsForASignOfLife(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &lossy{wall: h.wall, lose: []error{reset(), reset(), reset(), reset()}}
		h.run(t, p, finding(nil))
		h.put("k", urgent(entry(1, "1/vent.1")))
		pass(5 * time.Minute)
		if n := len(h.wall.all()); n != 2 {
			t.Fatalf("shown %d times in five minutes, want a call and one repeat", n)
		}
		pass(10 * time.Minute)
		if n := len(h.wall.all()); n != 3 {
			t.Fatalf("shown %d times in a quarter of an hour, want one repeat more", n)
		}
		h.put("k", batch(2, entry(2, "2/clear.1"))) // its answer is lost too, its repeat's is not
		pass(30 * time.Second)
		if left := h.left("k"); left != 0 {
			t.Errorf("%d left half a minute after the platform answered again, want none", left)
		}
		if n := len(h.wall.all()); n != 6 {
			t.Errorf("shown %v, want three vent calls more at most", h.wall.texts())
		}
	})
}

func TestASlipWaitsAMinuteForSomebodyToLook(t *testing.T) {
	for _, tt := range []struct {
		name  string
		until time.Duration // somebody can look
		want  []string
	}{
		{"and is found", 30 * time.Second, []string{"1/slip"}},
		{"and is repeated", time.Hour, []string{"1/slip", "1/slip\n(repeat)"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				f := &finder{wall: h.wall, err: errScope}
				h.run(t, &lossy{wall: h.wall, lose: []error{reset()}}, finding(f))
				h.put("k", slip(1))
				pass(min(tt.until, 55*time.Second))
				wantShown(t, h.wall, shown{Lane: "C1", Text: "1/slip"})
				if tt.until < time.Minute {
					f.fails(nil)
				}
				pass(time.Minute)
				if diff := cmp.Diff(tt.want, h.wall.texts()); diff != "" {
					t.Errorf("shown (-want +got):\n%s", diff)
				}
				if h.left("k") != 0 || h.record("k", "1/slip").TS == "" {
					t.Errorf("%d left, recorded %+v", h.left("k"), h.record("k", "1/slip"))
				}
			})
		})
	}
}

func TestWhereNobodyCanEverLookASlipDoesNotWait(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, &lossy{wall: h.wall, lose: []error{reset()}}, finding(nil))
		h.put("k", slip(1))
		pass(3 * time.Second)
		if want := []string{"1/slip", "1/slip\n(repeat)"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

func TestANewerEntryFindsWhatAnOlderOnePosted(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, &lossy{wall: h.wall, lose: []error{reset()}}, finding(&finder{wall: h.wall}))
		h.put("k", slip(1))
		pass(time.Second)
		h.say("k", "1/slip", "rest")
		h.put("k", slip(2))
		pass(time.Minute)
		wantShown(t, h.wall,
			shown{Lane: "C1", Text: "1/slip"},
			shown{At: 2 * time.Second, Lane: "C1", Text: "rest", Edit: true})
	})
}

func TestACorrectionLooksForWhatItCorrects(t *testing.T) {
	for name, err := range map[string]error{"it can be looked up": nil, "it can't": errScope} {
		t.Run(name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				h.run(t, &lossy{wall: h.wall, lose: []error{reset()}}, finding(&finder{wall: h.wall, err: err}))
				h.put("k", entry(1, "1/strain.1"))
				pass(time.Second)
				h.say("k", "1/strain.1", "strained")
				h.put("k", edit(entry(2, "1/strain.1")))
				pass(2 * time.Minute)
				want := []string{"1/strain.1", "strained"}
				if err != nil {
					want = want[:1]
					if got := h.reasons()["1/strain.1"]; got != "never sent" {
						t.Errorf("gone for %q, want never sent", got)
					}
				}
				if diff := cmp.Diff(want, h.wall.texts()); diff != "" || h.left("k") != 0 {
					t.Errorf("%d left, shown (-want +got):\n%s", h.left("k"), diff)
				}
			})
		})
	}
}

func TestADoubtIsKnownToEveryRunner(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		f := &finder{wall: h.wall}
		stop := h.run(t, &lossy{wall: h.wall, lose: []error{reset()}}, finding(f))
		h.put("k", entry(1, "1/strain.1"))
		pass(time.Second)
		stop()
		h.run(t, h.wall, finding(f), func(c *runner.Config) { c.Holder = "two" })
		pass(time.Minute)
		wantShown(t, h.wall, shown{Lane: "C1", Text: "1/strain.1"})
		if h.record("k", "1/strain.1").TS != "ts1" || h.left("k") != 0 {
			t.Errorf("%d left, recorded %+v", h.left("k"), h.record("k", "1/strain.1"))
		}
	})
}

func TestWhoWordsIsNotToldOfADoubtAsOfAMessage(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, &refusing{wall: h.wall, refuse: map[string][]error{"1/": {reset()}}}, finding(nil), func(c *runner.Config) {
			c.Word = func(s kitchen.State, e kitchen.Entry, now time.Time) (voice.Message, string, error) {
				if _, sent := s.Sent[e.Key]; sent {
					return voice.Message{}, "stands", nil
				}
				return words(s, e, now)
			}
		})
		h.put("k", entry(1, "1/strain.1"))
		pass(time.Minute)
		wantShown(t, h.wall, shown{At: 2 * time.Second, Lane: "C1", Text: "1/strain.1\n(repeat)"})
	})
}

// mortal is the office as one runner sees it, until that runner is killed.
type mortal struct {
	*office
	dead atomic.Bool
}

func (m *mortal) Done(ctx context.Context, p *kitchen.Parcel, d kitchen.Delivery) error {
	if m.dead.Load() {
		return errDown
	}
	return m.office.Done(ctx, p, d)
}

// killing is a platform that takes a message and has its runner killed before
// that knows of it.
type killing struct {
	*wall
	m    *mortal
	kill context.CancelFunc
}

func (k killing) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	at, err := k.wall.Post(ctx, p)
	k.m.dead.Store(true)
	k.kill()
	return at, err
}

// killed starts a runner that dies right after its first message.
func (h *house) killed(t *testing.T, change ...func(*runner.Config)) {
	t.Helper()
	ctx, kill := context.WithCancel(t.Context())
	m := &mortal{office: h.office}
	change = append(change, func(c *runner.Config) { c.Ledger, c.Holder = m, "killed" })
	h.runIn(ctx, t, killing{h.wall, m, kill}, change...)
	<-ctx.Done()
	synctest.Wait()
}

func TestWhatAKilledRunnerLeftIsFound(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", slip(1), urgent(entry(2, "1/vent.1")), entry(3, "1/strain.1"))
		h.killed(t)
		h.say("k", "1/slip", "venting") // and the slip is replaced meanwhile
		h.put("k", slip(4))
		f := &finder{wall: h.wall}
		h.run(t, h.wall, finding(f))
		pass(time.Minute)
		want := []string{"1/slip", "1/vent.1", "1/strain.1", "venting"}
		if diff := cmp.Diff(want, h.wall.texts()); diff != "" {
			t.Errorf("shown (-want +got):\n%s", diff)
		}
		if n := len(f.looks()); n != 3 {
			t.Errorf("looked %d times, want once for each message that was not known", n)
		}
		if got := h.tally.counts()["slip found"]; got != 1 {
			t.Errorf("%d slips found, want 1", got)
		}
	})
}

func TestWhatAKilledRunnerLeftIsNotForgottenWhileNobodyCanLook(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		e := slip(1)
		e.Due = h.now()
		h.put("k", e)
		h.killed(t)
		f := &finder{wall: h.wall, err: errScope}
		h.run(t, h.wall, finding(f))
		pass(40 * time.Second)
		f.fails(nil)
		pass(time.Minute)
		// Found, and brought up to date, since nobody knows the words it has.
		wantShown(t, h.wall,
			shown{Lane: "C1", Text: "1/slip"},
			shown{At: 50 * time.Second, Lane: "C1", Text: "1/slip", Edit: true})
	})
}

func TestALostLaneStaysLostUntilItsKitchenIsRead(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", slip(1))
		h.killed(t)
		h.set(func() { h.peekErr = errors.New("broken field") })
		h.run(t, h.wall, finding(&finder{wall: h.wall}))
		pass(25 * time.Second)
		h.set(func() { h.peekErr = nil })
		pass(time.Minute)
		wantShown(t, h.wall,
			shown{Lane: "C1", Text: "1/slip"},
			shown{At: 30 * time.Second, Lane: "C1", Text: "1/slip", Edit: true})
		if h.left("k") != 0 {
			t.Error("what stands is still in the outbox")
		}
	})
}

func TestWhatVanishedIsNotFoundInThePlaceOfWhatFollowsIt(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		closed := &closedEdits{lossy: &lossy{wall: h.wall}}
		h.run(t, closed, finding(&finder{wall: h.wall, slack: time.Minute}))
		h.put("k", slip(1))
		pass(10 * time.Second)
		closed.mu.Lock()
		closed.lose = []error{reset()}
		closed.mu.Unlock()
		h.say("k", "1/slip", "rest")
		h.put("k", slip(2))
		pass(time.Minute)
		if want := []string{"1/slip", "rest"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
		if got := h.record("k", "1/slip"); got.TS != "ts2" {
			t.Errorf("recorded %+v, want ts2", got)
		}
	})
}

func TestWhatAKilledRunnerPostedInThePlaceOfWhatVanishedIsFound(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		stop := h.run(t, h.wall)
		h.put("k", slip(1))
		pass(10 * time.Second)
		stop()
		h.wall.tearDown("ts1")
		h.say("k", "1/slip", "rest")
		h.put("k", h.due(0, slip(2)))
		h.killed(t)
		h.run(t, h.wall, finding(&finder{wall: h.wall}))
		pass(time.Minute)
		if want := []string{"1/slip", "rest", "rest"}; !slices.Equal(h.wall.texts(), want) || !h.wall.all()[2].Edit {
			t.Errorf("shown %+v, want %v, the last as an edit", h.wall.all(), want)
		}
	})
}

func TestWhatWasTakenFirstIsFoundAfterARepeatThatWasNot(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		f := &finder{wall: h.wall, err: errScope}
		p := &weather{wall: h.wall, outcomes: []int{losesAnswer, losesMessage}, unsure: map[string]int{}}
		h.run(t, p, finding(f))
		h.put("k", entry(1, "1/strain.1"))
		pass(time.Second)
		h.say("k", "1/strain.1", "strain, late")
		pass(5 * time.Second) // the repeat is through, and has other words
		f.fails(nil)
		pass(time.Minute)
		if want := []string{"1/strain.1", "strain, late"}; !slices.Equal(h.wall.texts(), want) || !h.wall.all()[1].Edit {
			t.Errorf("shown %+v, want %v, the last as an edit", h.wall.all(), want)
		}
	})
}

func TestNobodyIsAskedBeforeTheMessageMayGo(t *testing.T) {
	for name, n := range map[string]int{"one call": 1, "calls to collapse": 2} {
		t.Run(name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				stop := h.run(t, &refusing{wall: h.wall, refuse: map[string][]error{"1/": often(n, reset())}}, finding(nil))
				for i := range n {
					h.put("k", h.due(time.Hour, entry(uint64(i+1), fmt.Sprint("1/", i))))
				}
				pass(time.Second)
				stop()
				pass(time.Minute)
				f := &finder{wall: h.wall, err: errScope}
				now := h.now()
				h.set(func() { // the pace of new messages is spent
					for i := range 3 {
						h.sent["k"][fmt.Sprint("2/", i)] = kitchen.Sent{Channel: "C1", TS: "ts", At: now}
					}
				})
				h.run(t, h.wall, finding(f), collapsing)
				pass(time.Minute)
				if all := h.wall.all(); len(all) != 1 || all[0].At < 63*time.Second-100*time.Millisecond {
					t.Fatalf("shown %v, want one message two seconds later", all)
				}
				if n := len(f.looks()); n != 1 {
					t.Errorf("looked %d times, want once", n)
				}
			})
		})
	}
}

func TestNoMessageIsBegunAtTheVeryEndOfALease(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		// Two messages in doubt, one of which stands; then the platform stalls.
		stop := h.run(t, &weather{wall: h.wall, outcomes: []int{losesAnswer, losesMessage}, unsure: map[string]int{}})
		h.put("k", batch(2, entry(1, "2/strain.1")), batch(3, entry(2, "3/strain.1")))
		pass(time.Second)
		stop()
		h.say("k", "2/strain.1", "strain, late")
		h.put("k", urgent(batch(1, entry(3, "1/vent.1"))))
		p := &stalling{wall: h.wall, lane: "C1"}
		h.run(t, p, finding(&finder{wall: h.wall, takes: 3900 * time.Millisecond}))
		pass(5 * time.Minute)
		waits, _ := p.calls()
		if len(waits) < 5 {
			t.Fatalf("the platform was called %d times in five minutes", len(waits))
		}
		for _, w := range waits {
			if w != 4*time.Second {
				t.Errorf("a call was cut off after %v, want 4s: two fifths of the lease", w)
			}
		}
	})
}

// closedEdits is a platform that takes no edits of what stands.
type closedEdits struct{ *lossy }

func (closedEdits) Update(context.Context, string, string, voice.Message) error {
	return &runner.Refusal{Reason: "edit closed", Gone: true}
}

func TestAPlatformThatNamesNoPlaceIsNotAskedTwice(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.wall.can = voice.Can{}
		h.run(t, nameless{h.wall})
		h.put("k", slip(1))
		pass(time.Second)
		h.say("k", "1/slip", "rest")
		h.put("k", slip(2))
		pass(time.Minute)
		wantShown(t, h.wall, shown{Lane: "C1", Text: "1/slip"})
		if got := h.reasons()["1/slip"]; got != "no edits" {
			t.Errorf("gone for %q, want no edits", got)
		}
	})
}

// nameless is a platform that doesn't say where a message stands.
type nameless struct{ *wall }

func (n nameless) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	_, err := n.wall.Post(ctx, p)
	return runner.Posted{}, err
}
