package app

import (
	"context"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/chat"
	"ventbell/internal/clock"
)

func TestEveryTroubleHasWordsAndACure(t *testing.T) {
	t.Parallel()
	for _, reason := range chat.Stuck() {
		if w := troubleWords[reason]; w.said == "" || w.cure == "" {
			t.Errorf("%s: %q", reason, w)
		}
	}
	known := append(chat.Reasons(), "channel gone")
	for reason := range troubleWords {
		if !slices.Contains(known, reason) {
			t.Errorf("nothing ever says %q", reason)
		}
	}
}

func TestATroubleIsCountedAndWhatHoldsEverywhereIsSaidOnce(t *testing.T) {
	t.Parallel()
	var log strings.Builder
	lanes := map[string]int{}
	now := time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)
	tr := troubles{
		now:   func() time.Time { return now },
		gauge: func(reason string, n int) { lanes[reason] = n },
		log:   slog.New(slog.NewTextHandler(&log, nil)),
	}
	for _, lane := range []string{"C1", "C1", "C2", "@U1"} {
		tr.note("main", lane, "token refused")
	}
	tr.note("bar", "C3", "channel archived")
	if lanes["token refused"] != 3 || lanes["channel archived"] != 1 || tr.everywhere() != "token refused" {
		t.Errorf("counted %v, everywhere %q", lanes, tr.everywhere())
	}
	if n := strings.Count(log.String(), "VENTBELL_BOT_TOKEN"); n != 1 {
		t.Errorf("the cure is said %d times:\n%s", n, log.String())
	}
	for _, lane := range []string{"C1", "C2", "@U1"} {
		tr.note("main", lane, "")
	}
	if lanes["token refused"] != 0 || lanes["channel archived"] != 1 || tr.everywhere() != "" {
		t.Errorf("mended it counts %v, everywhere %q", lanes, tr.everywhere())
	}
	// Another replica has the lane, and nobody tells of it here any more.
	tr.note("main", "C1", "token refused")
	now = now.Add(untold + time.Second)
	if got := tr.everywhere(); got != "" || lanes["token refused"] != 0 || lanes["channel archived"] != 0 {
		t.Errorf("long after it counts %v, everywhere %q", lanes, got)
	}
}

// What holds for all of Slack shows on /readyz, with its cure, until it is
// mended.
func TestReadyTellsWhatToDoAboutARevokedToken(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithTimeout(context.WithoutCancel(t.Context()), 2*time.Minute)
	defer cancel()
	s, err := newStage(ctx, clock.Starting(time.Now(), 20), "127.0.0.1:0", filepath.Join(t.TempDir(), "kitchen.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	defer s.room.Close()
	s.opts.Lease = 2 * time.Minute // of the quick clock: some seconds of the world's
	a, stop, err := s.open(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := stop(); err != nil {
			t.Error(err)
		}
	}()
	eventually(t, "it is ready", func() bool { return a.unready(ctx) == "" })
	s.room.Revoke(true)
	if _, err := s.room.Command(ctx, s.crew["bar-1"], s.channel, "/bell", "start pepper tequila 500ml"); err != nil {
		t.Fatal(err)
	}
	eventually(t, "it says what to do", func() bool { return strings.Contains(a.unready(ctx), "VENTBELL_BOT_TOKEN") })
	s.room.Revoke(false)
	eventually(t, "it is ready again", func() bool { return a.unready(ctx) == "" })
	if n := len((&shift{stage: s}).seen()); n == 0 {
		t.Error("the slip that waited is lost")
	}
}
