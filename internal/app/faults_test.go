package app

import (
	"context"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/practice"
)

const (
	trialSpeed = 20
	// tenSeconds are ten seconds of the trial's clock, in the world's time.
	tenSeconds = 10 * time.Second / trialSpeed
)

// letdown is one way in which Slack lets a caller down.
type letdown struct {
	fault  practice.Fault
	n      int
	scopes func([]string) []string
	// doubles is how many messages may stand there twice.
	doubles int
}

// No call is lost whatever Slack does, and twice stands at most what nobody
// could look up.
func TestNoCallIsLostWhateverSlackDoes(t *testing.T) {
	t.Parallel()
	post := func(kind practice.FaultKind, after time.Duration) practice.Fault {
		return practice.Fault{Kind: kind, Method: "chat.postMessage", After: after}
	}
	for name, tr := range map[string]letdown{
		"429 with its time":      {fault: post(practice.TooFast, 3*time.Second), n: 2},
		"429 without":            {fault: post(practice.TooFastBare, 0), n: 2},
		"ratelimited in a 200":   {fault: post(practice.TooFastPolite, 0), n: 2},
		"no reason":              {fault: post(practice.Wordless, 0), n: 2},
		"a page of HTML":         {fault: post(practice.Broken, 0), n: 2},
		"taken, then broken off": {fault: post(practice.ResetAfter, 0), n: 1},
		// Whoever looks before it is taken finds nothing.
		"taken, but after ten seconds":  {fault: post(practice.Stall, tenSeconds), n: 1, doubles: 1},
		"broken off, nobody can look":   {fault: post(practice.ResetAfter, 0), n: 1, scopes: blind, doubles: 1},
		"edits broken off all the time": {fault: practice.Fault{Kind: practice.ResetAfter, Method: "chat.update"}, n: 3},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			e := openEvening(t)
			if tr.scopes != nil {
				e.room.SetScopes(tr.scopes(e.room.Config().Scopes)...)
			}
			e.tells("start pepper tequila 500ml in A")
			e.sees("Weigh")
			e.tells("charged A")
			e.passes(25 * time.Second)
			e.tells("charged A")
			e.room.Fail(tr.n, tr.fault)
			e.sees("Vent ")
			e.tells("vented A")
			e.room.Fail(tr.n, tr.fault)
			e.sees("Strain ")
			e.tells("strained A 440")
			e.tells("labelled A")
			e.sees("Stored")
			if got := e.room.Counts().Doubles; got > 2*tr.doubles {
				t.Errorf("%d messages stand there twice, at most %d may", got, 2*tr.doubles)
			}
		})
	}
}

// blind takes away what looking for a message needs.
func blind(scopes []string) []string {
	var left []string
	for _, s := range scopes {
		if !strings.HasSuffix(s, ":history") {
			left = append(left, s)
		}
	}
	return left
}

// Sockets that are refreshed and broken off all the time lose no word and no
// call: every six seconds for two minutes, by the trial's clock.
func TestNothingIsLostOnSocketsThatChurn(t *testing.T) {
	t.Parallel()
	e := openEvening(t)
	churn, calm := context.WithTimeout(t.Context(), 2*time.Minute/trialSpeed)
	defer calm()
	go e.room.Churn(churn, 6*time.Second/trialSpeed)
	e.tells("start smoky tea rum 200ml in D")
	e.sees("Weigh")
	e.tells("charged D")
	e.sees("Vent ")
	e.tells("vented D")
	e.sees("Strain ")
	e.tells("strained D 180")
	e.tells("labelled D")
	e.sees("Stored")
	if got := e.room.Counts().Doubles; got > 0 {
		t.Errorf("%d messages stand there twice", got)
	}
}

// evening is the whole service behind a practice room on a fast clock.
type evening struct {
	*stage
	t *testing.T
}

func openEvening(t *testing.T) evening {
	t.Helper()
	log := slog.New(slog.NewTextHandler(t.Output(), &slog.HandlerOptions{Level: slog.LevelError}))
	start := time.Date(2026, 11, 24, 17, 0, 0, 0, time.UTC)
	s, err := newStage(t.Context(), clock.Starting(start, trialSpeed), "127.0.0.1:0", filepath.Join(t.TempDir(), "kitchen.db"), log)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.room.Close)
	_, stop, err := s.open(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
	return evening{s, t}
}

func (e evening) soon() context.Context {
	ctx, cancel := context.WithTimeout(e.t.Context(), time.Minute)
	e.t.Cleanup(cancel)
	return ctx
}

// tells has bar-1 use the slash command; who sees it fail types it again, as
// one does.
func (e evening) tells(line string) {
	e.t.Helper()
	for try := 1; ; try++ {
		_, err := e.room.Command(e.soon(), e.crew["bar-1"], e.channel, "/bell", line)
		if err == nil {
			return
		}
		if try == 20 {
			e.t.Fatalf("%s: %v", line, err)
		}
		e.passes(5 * time.Second)
	}
}

// sees waits for a message of the bot's in the channel that begins so.
func (e evening) sees(words string) {
	e.t.Helper()
	err := e.room.Wait(e.soon(), e.channel, func(all []practice.Message) bool {
		for _, m := range all {
			if m.Person == e.room.BotID() && strings.HasPrefix(strings.Join(e.room.Lines(m), " "), words) {
				return true
			}
		}
		return false
	})
	if err != nil {
		e.t.Fatalf("no message begins with %q: %v", words, err)
	}
}

// passes lets time pass on the trial's clock.
func (e evening) passes(d time.Duration) {
	e.t.Helper()
	if err := e.clock.Wait(e.soon(), e.clock.Now().Add(d), nil); err != nil {
		e.t.Fatal(err)
	}
}
