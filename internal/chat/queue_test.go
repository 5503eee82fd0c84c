package chat

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
)

func TestTheOrderOfOneKitchenIsTheOrderOfArrival(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, func(c *Config) { c.Kitchens["C0BAR"] = "bench" })
		gate := make(chan struct{})
		r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
			<-gate
			return kitchen.Answer{}, nil
		}
		var want []string
		for i := range 40 {
			text := fmt.Sprintf("line %d", i)
			want = append(want, text)
			go r.command(text)
			synctest.Wait() // until it has arrived
		}
		close(gate)
		synctest.Wait()
		r.close(t)
		var got []string
		for _, cmd := range r.desk.commands() {
			got = append(got, cmd.Text)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Error(diff)
		}
	})
}

func TestOneKitchenDoesNotHoldUpAnotherNorGrowWithoutEnd(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, func(c *Config) { c.Kitchens["C0BAR"] = "bar" })
		gate := make(chan struct{})
		r.desk.answer = func(_ context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
			if strings.HasPrefix(cmd.Text, "line") {
				<-gate
			}
			return kitchen.Answer{Line: "kept"}, nil
		}
		began := time.Now()
		for i := range queueLimit + 2 { // one is under way, the others wait
			go r.command(fmt.Sprintf("line %d", i))
			synctest.Wait()
		}
		if n := r.tally.count("slash broken"); n != 0 || time.Since(began) != 0 {
			t.Errorf("%d refused while Slack's patience lasts", n)
		}
		time.Sleep(patience + time.Millisecond) // in the bubble
		began = time.Now()
		if w := r.command("one more"); !strings.Contains(w.Body.String(), "broken") {
			t.Errorf("answered %q", w.Body)
		}
		body := strings.Replace(slashBody("resting", "t"), channel, "C0BAR", 1)
		if w := r.send("/slack/commands", formType, body); !strings.Contains(w.Body.String(), "kept") {
			t.Errorf("answered %q", w.Body)
		}
		if took := time.Since(began); took != 0 {
			t.Errorf("took %v", took)
		}
		close(gate)
		synctest.Wait()
		r.close(t)
		if got := len(r.desk.commands()); got != queueLimit+3 {
			t.Errorf("heard %d", got)
		}
	})
}

func TestOnlySoManyKitchensAreAtWorkAtOnce(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		const many = handLimit + 10
		r := newRig(t, func(c *Config) {
			for i := range many {
				c.Kitchens[fmt.Sprint("C", i)] = fmt.Sprint("kitchen ", i)
			}
		})
		gate := make(chan struct{})
		r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
			<-gate
			return kitchen.Answer{Line: "kept"}, nil
		}
		for i := range many {
			body := strings.Replace(slashBody("resting", fmt.Sprint("t", i)), channel, fmt.Sprint("C", i), 1)
			go r.send("/slack/commands", formType, body)
		}
		synctest.Wait()
		if n := len(r.desk.commands()); n != handLimit {
			t.Errorf("%d kitchens at work, want %d", n, handLimit)
		}
		close(gate)
		synctest.Wait()
		r.close(t)
		if n := len(r.desk.commands()); n != many {
			t.Errorf("heard %d, want %d", n, many)
		}
	})
}

func TestWhatWaitedTooLongIsNotCarriedOutAnyMore(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		r.desk.answer = func(ctx context.Context, _ kitchen.Command) (kitchen.Answer, error) {
			<-ctx.Done() // the ledger is away
			return kitchen.Answer{}, ctx.Err()
		}
		began := time.Now()
		for i := range 5 {
			go r.command(fmt.Sprintf("line %d", i))
			synctest.Wait()
		}
		r.closeWithin(t, time.Hour)
		if took := time.Since(began); took != heardLimit {
			t.Errorf("the last was given up after %v", took)
		}
	})
}

func TestOnceForgetsTheOldestFirst(t *testing.T) {
	t.Parallel()
	o := newOnce()
	h := &hearing{}
	for i := range onceLimit + 1 {
		if _, repeat := o.claim(h, strconv.Itoa(i)); repeat {
			t.Fatalf("%d came before", i)
		}
	}
	if _, repeat := o.claim(h, "0"); !repeat {
		t.Error("forgot within one generation")
	}
	for i := range 2 * onceLimit {
		o.claim(h, "more "+strconv.Itoa(i))
	}
	if _, repeat := o.claim(h, "0"); repeat {
		t.Error("never forgets")
	}
	if len(o.young)+len(o.old) > 2*onceLimit {
		t.Errorf("holds %d", len(o.young)+len(o.old))
	}
}

func TestABurstIsRefusedOnlyAtItsVeryLimit(t *testing.T) {
	t.Parallel()
	q, gate := &queue{}, make(chan struct{})
	var work sync.WaitGroup
	done := 0
	put := func() bool { return q.put(func() { <-gate; done++ }, func(f func()) { work.Go(f) }) }
	taken := 0
	for put() { // nothing moves, but nothing has stood still for long either
		taken++
	}
	if taken != burstLimit && taken != burstLimit+1 { // the one under way is no longer in the queue
		t.Errorf("took %d, want %d", taken, burstLimit)
	}
	close(gate)
	work.Wait()
	if done != taken {
		t.Errorf("did %d of %d", done, taken)
	}
}
