package chat

import (
	"context"
	"fmt"
	"log/slog"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/gorilla/websocket"

	"ventbell/internal/book"
	"ventbell/internal/clock"
	"ventbell/internal/desk"
	"ventbell/internal/kitchen"
	"ventbell/internal/ledger"
)

// witness is the real desk over a file, and what it was asked and answered.
type witness struct {
	*desk.Desk
	mu     sync.Mutex
	heard  []string                 // the people, in order
	winner map[kitchen.Tap][]string // who did it, by button
}

func (w *witness) Heard(ctx context.Context, where string, cmd kitchen.Command) (desk.Reply, error) {
	reply, err := w.Desk.Heard(ctx, where, cmd)
	if err == nil && cmd.Tap != nil {
		w.mu.Lock()
		defer w.mu.Unlock()
		w.heard = append(w.heard, cmd.By.ID)
		if reply.Answer.Kind == kitchen.Done {
			w.winner[*cmd.Tap] = append(w.winner[*cmd.Tap], cmd.By.ID)
		}
	}
	return reply, err
}

func TestAThousandTapsAtOnceKeepTheirOrderAndHaveOneWinnerEach(t *testing.T) {
	t.Parallel()
	now := clock.Wall()
	file, err := ledger.OpenFile(filepath.Join(t.TempDir(), "kitchen.db"), now.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	w := &witness{winner: map[kitchen.Tap][]string{}, Desk: desk.New(desk.Config{
		Ledger: file, Book: book.Sample(), Zone: time.UTC, Teams: map[string]kitchen.Team{"bench": {Channel: channel}}, Clock: now, Log: slog.New(slog.DiscardHandler),
	})}
	r := newRig(t, withSocket, func(c *Config) { c.Desk = w })
	far, conn := connect(t, r)

	var taps []kitchen.Tap
	for vessel, line := range map[string]string{"A": "400ml in A", "B": "400ml in B", "C": "800ml in C", "D": "200ml in D"} {
		reply, err := w.Desk.Heard(t.Context(), "bench", kitchen.Command{
			ID: "start " + vessel, Text: "start ginger gin " + line, By: kitchen.Person{ID: "U0LEAD", Name: "prep-lead"}, At: now.Now(),
		})
		if err != nil || reply.Answer.Kind != kitchen.Done {
			t.Fatalf("start in %s: %+v, %v", vessel, reply.Answer, err)
		}
		_, b := reply.State.Look(vessel)
		taps = append(taps, kitchen.Tap{Line: "charged " + vessel, Batch: b.ID, Turn: b.Turn, N: 1, With: "take"})
	}
	// Everybody presses every button, each as somebody else.
	const presses = 1000
	var want []string
	first := map[kitchen.Tap][]string{}
	send := func() {
		for i := range presses {
			who, tap := want[i], taps[i%len(taps)]
			body := strings.ReplaceAll(tapBody(tap.String()), bar1, who)
			text := fmt.Sprintf(`{"envelope_id":"%d","type":"interactive","payload":%s}`, i, body)
			if err := conn.WriteMessage(websocket.TextMessage, []byte(text)); err != nil {
				t.Error(err)
				return
			}
		}
	}
	for i := range presses {
		want = append(want, fmt.Sprintf("U0HAND%d", i))
		if tap := taps[i%len(taps)]; first[tap] == nil {
			first[tap] = []string{want[i]}
		}
	}
	go send()
	for range presses {
		take(t, far.acks)
	}
	far.stop()
	take(t, far.ended)
	r.closeWithin(t, time.Minute)
	if diff := cmp.Diff(want, w.heard); diff != "" {
		t.Errorf("the order (-sent +carried out):\n%s", diff)
	}
	if diff := cmp.Diff(first, w.winner); diff != "" {
		t.Errorf("who won (-first +counted):\n%s", diff)
	}
	if n := r.tally.count("tap broken"); n != 0 {
		t.Errorf("%d were refused", n)
	}
}
