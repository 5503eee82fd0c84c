package desk_test

import (
	"context"
	"fmt"
	"log/slog"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/clock"
	"ventbell/internal/desk"
	"ventbell/internal/kitchen"
	"ventbell/internal/ledger"
)

var (
	bar1 = kitchen.Person{ID: "U1", Name: "bar-1"}
	lead = kitchen.Person{ID: "U9", Name: "prep-lead"}
)

// room is a file ledger with desks on it.
type room struct {
	clock  *clock.Clock
	ledger *ledger.File
}

func newRoom(t *testing.T, speed float64) *room {
	t.Helper()
	clk := clock.Starting(time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC), speed)
	l, err := ledger.OpenFile(filepath.Join(t.TempDir(), "kitchen.db"), clk.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return &room{clock: clk, ledger: l}
}

func (r *room) desk(t *testing.T) *desk.Desk {
	t.Helper()
	return desk.New(desk.Config{
		Ledger: r.ledger, Book: book.Sample(), Zone: time.UTC,
		Teams: map[string]kitchen.Team{"main": {Channel: "C1", Managers: []kitchen.Person{lead}}}, Clock: r.clock, Log: slog.New(slog.DiscardHandler),
	})
}

func say(id, line string) kitchen.Command { return kitchen.Command{ID: id, Text: line, By: bar1} }

func (r *room) state(t *testing.T) (*kitchen.Kitchen, kitchen.State) {
	t.Helper()
	s, err := r.ledger.Peek(t.Context(), "main")
	if err != nil {
		t.Fatal(err)
	}
	k, err := kitchen.Decode("main", s.Fields)
	if err != nil {
		t.Fatal(err)
	}
	return k, s
}

func TestARepeatedRequestGivesItsAnswerAndChangesNothing(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	d := r.desk(t)
	first, err := d.Heard(t.Context(), "main", say("req-1", "start rhubarb gin 400ml in A"))
	if err != nil {
		t.Fatal(err)
	}
	_, before := r.state(t)
	again, err := d.Heard(t.Context(), "main", say("req-1", "start rhubarb gin 400ml in A"))
	if err != nil {
		t.Fatal(err)
	}
	_, after := r.state(t)
	if before.Rev != after.Rev {
		t.Error("the repeated request wrote something")
	}
	if diff := cmp.Diff(first.Answer.Batches, again.Answer.Batches); diff != "" || again.Answer.Kind != kitchen.Done {
		t.Errorf("the repeated request was answered with %+v", again.Answer)
	}
}

func TestCommandsOnOneKitchenFromManyReplicasAreAllKept(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	var crews sync.WaitGroup
	for replica := range 3 {
		d := r.desk(t)
		for n := range 4 {
			crews.Go(func() {
				id := fmt.Sprintf("req-%d-%d", replica, n)
				line := []string{"400ml in A", "400ml in B", "800ml in C", "200ml in D"}[n]
				if _, err := d.Heard(context.Background(), "main", say(id, "start ginger gin "+line)); err != nil {
					t.Error(err)
				}
			})
		}
	}
	crews.Wait()
	k, _ := r.state(t)
	vessels := map[string]int{}
	for _, b := range k.Batches {
		vessels[b.Vessel]++
	}
	if diff := cmp.Diff(map[string]int{"A": 1, "B": 1, "C": 1, "D": 1}, vessels); diff != "" {
		t.Errorf("batches per vessel (-want +got):\n%s", diff)
	}
}

func TestADueMomentIsCarriedOutOnceByTwoReplicas(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 600)
	d := r.desk(t)
	if _, err := d.Heard(t.Context(), "main", say("req-1", "start rhubarb gin 400ml in A")); err != nil {
		t.Fatal(err)
	}
	k, _ := r.state(t)
	at := k.Next().Time()
	var replicas sync.WaitGroup
	for range 2 {
		d := r.desk(t)
		replicas.Go(func() {
			if err := d.Ring(context.Background(), "main", at); err != nil {
				t.Error(err)
			}
		})
	}
	replicas.Wait()
	if now := r.clock.Now(); now.Before(at) {
		t.Errorf("it rang at %v, before its moment %v", now, at)
	}
	lines, err := r.ledger.Lines(t.Context(), at, 100)
	if err != nil {
		t.Fatal(err)
	}
	expired := 0
	for _, l := range lines {
		if l.Event == "expired" {
			expired++
		}
	}
	if expired != 1 {
		t.Errorf("the reservation expired %d times, want once", expired)
	}
}

func TestAStaleDueEntryIsCorrected(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	d := r.desk(t)
	if _, err := d.Heard(t.Context(), "main", say("req-1", "start rhubarb gin 400ml in A")); err != nil {
		t.Fatal(err)
	}
	k, s := r.state(t)
	early := s.Now.Add(-time.Minute)
	if _, _, err := r.ledger.Commit(t.Context(), "main", s.Rev, "", kitchen.Change{Due: early}); err != nil {
		t.Fatal(err)
	}
	if err := d.Ring(t.Context(), "main", early); err != nil {
		t.Fatal(err)
	}
	due, _, err := r.ledger.Due(t.Context(), 0, 10)
	if err != nil {
		t.Fatal(err)
	}
	if len(due) != 1 || !due[0].At.Equal(k.Next().Time()) {
		t.Errorf("due %v, want the reservation's end %v", due, k.Next().Time())
	}
}
