package main_test

import (
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ventbell/internal/practice"
)

// fullHouses is how many kitchens fill all four vessels: 200 due moments.
const fullHouses = 50

var vessels = []string{"A", "B", "C", "D"} // of the sample book; D is the small one

func TestTwoReplicasPostEachOf200CallsExactlyOnce(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "socket", fullHouses)
	h.book = quickBook(t, 1)
	first, second := h.run(0), h.run(1)
	h.fill(t)

	err := h.room.Wait(h.soon(), "", func(all []practice.Message) bool {
		n := 0
		for _, m := range all {
			n += len(h.firstCalls(m))
		}
		return n >= fullHouses*len(vessels)
	})
	if err != nil {
		t.Error(strings.SplitN(err.Error(), ";", 2)[0])
	}
	first.kill()
	second.kill()

	calls := map[string]int{}
	var worst time.Duration
	for _, m := range h.room.Messages("") {
		for _, vessel := range h.firstCalls(m) {
			calls[m.Channel+" "+vessel]++
			i := slices.Index(h.channels, m.Channel)
			worst = max(worst, m.At.Sub(h.batch(i, vessel).VentAt.Time()))
		}
	}
	for i, channel := range h.channels {
		for _, vessel := range vessels {
			if n := calls[channel+" "+vessel]; n != 1 {
				t.Errorf("%s, vessel %s: %d vent calls, want 1", h.kitchen(i), vessel, n)
			}
		}
	}
	counts := h.room.Counts()
	if counts.Doubles != 0 {
		t.Errorf("%d messages were posted twice", counts.Doubles)
	}
	t.Logf("the latest call by %s; the room counted %+v; messages posted by the replicas: %d and %d",
		worst, counts, strings.Count(first.log.String(), `"message posted"`), strings.Count(second.log.String(), `"message posted"`))
}

// amounts are what one charger is right for: C takes no less, D's stamp no more.
var amounts = map[string]string{"A": "250ml", "B": "250ml", "C": "250ml", "D": "200ml"}

// fill has every kitchen start four batches of one charger each and tap it in.
func (h *house) fill(t *testing.T) {
	t.Helper()
	kitchens := make(chan int, fullHouses)
	for i := range fullHouses {
		kitchens <- i
	}
	close(kitchens)
	var hands sync.WaitGroup
	for range 8 {
		hands.Go(func() {
			for i := range kitchens {
				for _, vessel := range vessels {
					for _, line := range []string{"start pepper tequila " + amounts[vessel] + " rest 20 s in " + vessel, "charged " + vessel} {
						answer, err := h.room.Command(h.soon(), h.crew["bar-1"], h.channels[i], "/bell", line)
						if err != nil || answer.Message == nil || !yes(h.room.Plain(answer.Message.Text)) {
							t.Errorf("%s, %q: answer %v, %v", h.kitchen(i), line, answer.Message != nil, err)
						}
					}
				}
			}
		})
	}
	hands.Wait()
	if t.Failed() {
		t.FailNow()
	}
}

// firstCalls gives the vessels that a message calls to be vented: one, or several
// that are due within seconds; none when it is a second call, which mentions more
// people than the owner.
func (h *house) firstCalls(m practice.Message) (vessels []string) {
	text := m.Text
	if len(m.Edits) > 0 {
		text = m.Edits[0].Text
	}
	for _, found := range firstVent.FindAllStringSubmatch(h.room.Plain(text), -1) {
		vessels = append(vessels, found[1])
	}
	return vessels
}

var firstVent = regexp.MustCompile(`(?m)^Vent \d\d:\d\d(?::\d\d)?, ([A-D]), @bar-1: `)
