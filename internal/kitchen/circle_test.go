package kitchen_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

func names(people []kitchen.Person) []string {
	list := []string{}
	for _, p := range people {
		list = append(list, p.Name)
	}
	return list
}

// called gives who a call of a batch reaches, rung by rung.
func (w *world) called(b *kitchen.Batch) (circles [][]string) {
	for rung := range uint8(5) {
		circles = append(circles, names(w.kitchen().Circle(b, rung)))
	}
	return circles
}

func TestTheCircleOfATeaGrowsFasterThanThatOfASlowOne(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		start        string
		vent, strain time.Duration // to the second call
	}{
		{"start smoky tea rum 200ml in A", 15 * time.Second, 15 * time.Second},
		{"start rhubarb gin 400ml in A", 30 * time.Second, time.Minute},
		{"start caraway vodka 400ml in A", 30 * time.Second, 90 * time.Second},
	} {
		w := newWorld(t)
		w.want(w.say(bar1, x.start), kitchen.Done)
		b := w.in("A")
		b.VentAt, b.ContactFrom = kitchen.At(w.now), kitchen.At(w.now)
		b.Emptied = &kitchen.Mark{Done: kitchen.At(w.now)}
		vent := b.CallDue(kitchen.VentCall, 1).Sub(b.CallDue(kitchen.VentCall, 0))
		strain := b.CallDue(kitchen.StrainCall, 1).Sub(b.CallDue(kitchen.StrainCall, 0))
		if vent != x.vent || strain != x.strain {
			t.Errorf("%s: second calls after %v and %v, want %v and %v", x.start, vent, strain, x.vent, x.strain)
		}
	}
}

func TestACircleGrowsFromTheOwnerToTheManagers(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar2, "start thyme oil 400ml in B")
	w.say(larder, "start bay vodka 400ml in C")
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	want := [][]string{
		{"bar-1"}, {"bar-1", "larder"}, {"bar-1", "larder", "bar-2"}, {"bar-1", "larder", "bar-2", "prep-lead"},
		{"bar-1", "larder", "bar-2", "prep-lead"},
	}
	if diff := cmp.Diff(want, w.called(w.in("A"))); diff != "" {
		t.Errorf("nobody typed on (-want +got):\n%s", diff)
	}
}

// Who went is not called; where the owner did, the stand-in is at once.
func TestWhoIsOffShiftIsNotCalled(t *testing.T) {
	t.Parallel()
	for name, x := range map[string]struct {
		say  []func(w *world)
		wait time.Duration
		want [][]string
	}{
		"the stand-in typed off": {
			[]func(*world){func(w *world) { w.say(bar2, "off") }}, 0,
			[][]string{{"bar-1"}, {"bar-1", "prep-lead"}},
		},
		"the owner's shift is over": {
			[]func(*world){func(w *world) { w.say(bar1, "on") }, func(w *world) { w.say(bar2, "on") }}, 0,
			[][]string{{"bar-1"}, {"bar-1", "bar-2"}, {"bar-1", "bar-2", "prep-lead"}},
		},
		"sixteen hours later": {
			[]func(*world){func(w *world) { w.say(bar1, "on") }, func(w *world) { w.now = w.now.Add(17 * time.Hour) }, func(w *world) { w.say(bar2, "on") }}, 0,
			[][]string{{"bar-2"}, {"bar-2", "prep-lead"}},
		},
		"only somebody else typed on": { // the owner of what is open counts all the same
			[]func(*world){func(w *world) { w.say(larder, "on") }}, 0,
			[][]string{{"bar-1"}, {"bar-1", "larder"}, {"bar-1", "larder", "prep-lead"}},
		},
		"all went": {
			[]func(*world){func(w *world) { w.say(bar1, "hand over A") }, func(w *world) { w.say(bar2, "off") }, func(w *world) { w.say(bar1, "off") }}, 0,
			[][]string{{"prep-lead"}, {"prep-lead"}},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.say(bar2, "start thyme oil 400ml in B")
			w.want(w.say(bar2, "scrap B"), kitchen.Done)
			w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
			for _, say := range x.say {
				say(w)
			}
			b := w.in("A")
			if diff := cmp.Diff(x.want, w.called(b)[:len(x.want)]); diff != "" {
				t.Errorf("called are (-want +got):\n%s", diff)
			}
		})
	}
}

func TestNobodyOnShiftLeavesTheCallInTheChannel(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.team.Managers = nil
	w.say(bar1, "on")
	w.now = w.now.Add(17 * time.Hour)
	w.ring()
	if len(w.calls(kitchen.VentCall)) != 1 || len(w.kitchen().Circle(w.in("A"), 0)) != 0 {
		t.Errorf("calls %v to %v", w.calls(kitchen.VentCall), w.kitchen().Circle(w.in("A"), 0))
	}
	w.say(bar1, "charged A") // whoever does something here is here
	w.say(bar1, "on")
	if got := names(w.kitchen().Circle(w.in("A"), 0)); !slices.Equal(got, []string{"bar-1"}) {
		t.Errorf("called is %v", got)
	}
}

func TestADeclinedVentGoesToTheNextAtOnce(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.say(bar2, "start thyme oil 400ml in B")
	w.pass(2*time.Minute + 35*time.Second)
	if got := len(w.calls(kitchen.VentCall)); got != 1 {
		t.Fatalf("%d vent calls", got)
	}
	a := w.want(w.say(bar1, "can't vent A"), kitchen.Done)
	b := w.in("A")
	if got := names(w.kitchen().Circle(b, b.Rung-1)); !slices.Equal(got, []string{"bar-2"}) || len(w.calls(kitchen.VentCall)) != 2 {
		t.Errorf("called are %v by %v", got, w.calls(kitchen.VentCall))
	}
	if b.Owner != bar1 || b.Gas() != 2 || a.Crew == nil || !slices.Equal(names(a.Crew.Called), []string{"bar-2"}) {
		t.Errorf("owner %v, gas %d, answer %+v", b.Owner, b.Gas(), a.Crew)
	}
	if next := b.CallAt.Time().Sub(w.now); next > 30*time.Second {
		t.Errorf("the next call comes %v later", next)
	}
	w.want(w.say(bar1, "can't vent A"), kitchen.Done)
	w.want(w.say(bar2, "not me A"), kitchen.Done)
	w.want(w.say(lead, "someone else A"), kitchen.Done)
	b = w.in("A")
	if got := w.kitchen().Circle(b, b.Rung-1); len(got) != 3 { // nobody else is there
		t.Errorf("all declined, called are %v", names(got))
	}
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	if b := w.in("A"); b.Declined != nil {
		t.Errorf("it is remembered after the vent: %v", b.Declined)
	}
}

func TestOnlyWhoIsTrainedChargesOnceSomebodyIsNamed(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	if a := w.say(bar1, "charged A"); a.Crew != nil || w.in("A").Offered != nil {
		t.Errorf("nobody was named, and the answer is %+v", a)
	}
	w.wantCode(w.say(bar1, "@bar-2 is trained to charge"), kitchen.Refuse, kitchen.RefuseManager)
	w.say(bar2, "on")
	w.want(w.say(lead, "@bar-2 is trained to charge"), kitchen.Done)
	if k := w.kitchen(); k.MayCharge(bar1) || !k.MayCharge(bar2) || k.MayCharge(lead) {
		t.Errorf("trained are %+v", k.Crew.Trained)
	}
	w.pass(40 * time.Second)
	a := w.want(w.say(bar1, "charged A"), kitchen.Done)
	b := w.in("A")
	if b.Gas() != 2 || b.Offered == nil || !b.Skilled || a.Crew == nil || !slices.Equal(names(a.Crew.Trained), []string{"bar-2"}) {
		t.Fatalf("gas %d, offered %v, answer %+v", b.Gas(), b.Offered, a.Crew)
	}
	if got := names(w.kitchen().StandIns(b, w.now)); !slices.Equal(got, []string{"bar-2"}) {
		t.Errorf("asked are %v", got)
	}
	w.say(larder, "take A") // who is not trained either may vent it
	if b := w.in("A"); b.Owner != larder || b.Offered == nil {
		t.Errorf("owner %v, offered %v", b.Owner, b.Offered)
	}
	w.want(w.say(bar2, "take A"), kitchen.Done)
	if b := w.in("A"); b.Owner != bar2 || b.Offered != nil || b.Skilled {
		t.Errorf("owner %v, offered %v", b.Owner, b.Offered)
	}
	a = w.want(w.say(larder, "start ginger gin 400ml in B"), kitchen.Done)
	if a.Crew == nil || !slices.Equal(names(a.Crew.Trained), []string{"bar-2"}) || a.Choices[len(a.Choices)-1].Code != kitchen.ChooseOffer {
		t.Errorf("a start by somebody untrained is answered %+v", a)
	}
	w.want(w.say(lead, "@bar-2 is not trained"), kitchen.Done)
	if w.kitchen().MayCharge(bar2) {
		t.Error("bar-2 still may charge")
	}
}

func TestATabletNamesWhoStandsAtIt(t *testing.T) {
	t.Parallel()
	tablet := kitchen.Person{ID: "U7", Name: "tablet"}
	w := newWorld(t)
	w.team.Tablets = []string{"U7"}
	a := w.want(w.say(tablet, "start rhubarb gin 400ml in A"), kitchen.Done)
	if a.Crew == nil || !a.Crew.Unsigned {
		t.Fatalf("nobody is asked for initials: %+v", a)
	}
	if a := w.want(w.say(tablet, "charged A"), kitchen.Done); a.Crew != nil || w.in("A").Gas() != 1 {
		t.Errorf("asked twice, or gas not counted: %+v", a)
	}
	w.want(w.say(tablet, "initials km"), kitchen.Done)
	w.pass(40 * time.Second)
	w.want(w.say(tablet, "charged A"), kitchen.Done)
	if got := w.in("A").FullSince().By.Name; got != "tablet (KM)" {
		t.Errorf("charged by %q", got)
	}
	w.want(w.say(tablet, "initials JL"), kitchen.Done)
	w.want(w.say(tablet, "set down A"), kitchen.Done)
	if got := w.in("A").Last.By.Name; got != "tablet (JL)" {
		t.Errorf("set down by %q", got)
	}
	w.wantCode(w.say(bar1, "initials KM"), kitchen.Refuse, kitchen.RefuseNoTablet)
	w.wantCode(w.say(tablet, "initials"), kitchen.Refuse, kitchen.RefuseInitials)
}

func TestWhoIsOnIsTold(t *testing.T) {
	t.Parallel()
	w := charged(t)
	a := w.want(w.say(bar2, "who is on"), kitchen.Told)
	if a.Topic != request.OnNow || a.Crew.ByWord || len(a.Crew.On) != 1 || a.Crew.On[0].Person != bar1 {
		t.Errorf("answer %+v", a.Crew)
	}
	w.say(bar2, "on")
	a = w.say(larder, "who is on?")
	if !a.Crew.ByWord || len(a.Crew.On) != 2 || a.Crew.On[0].Person != bar2 || a.Crew.On[0].Since == 0 || a.Crew.On[1].Since != 0 {
		t.Errorf("answer %+v", a.Crew)
	}
}

func TestTheChannelIsPagedOnceAndOnlyWhereTheHouseWantsIt(t *testing.T) {
	t.Parallel()
	for _, pages := range [][]kitchen.Page{nil, {kitchen.PageFood}, {kitchen.PagePressurised}} {
		w := charged(t)
		w.team.Pages = pages
		w.say(bar2, "start thyme oil 400ml in B")
		w.pass(20 * time.Minute)
		var paged []uint8
		b := w.in("A")
		for rung := range b.Rung {
			if w.kitchen().Pages(b, kitchen.VentCall, rung) != kitchen.PageNobody {
				paged = append(paged, rung)
			}
		}
		want := []uint8(nil)
		if slices.Contains(pages, kitchen.PagePressurised) {
			want = []uint8{2} // owner, stand-in, then the managers
		}
		if diff := cmp.Diff(want, paged, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%v: paged at (-want +got):\n%s", pages, diff)
		}
	}
}

func TestMessagesOfABatch(t *testing.T) {
	t.Parallel()
	calm := charged(t)
	calm.pass(2*time.Minute + 35*time.Second)
	calm.want(calm.say(bar1, "vented A"), kitchen.Done)
	calm.pass(2 * time.Minute)
	calm.want(calm.say(bar1, "strained A 345"), kitchen.Done)
	calm.want(calm.say(bar1, "labelled A"), kitchen.Done)
	calm.pass(time.Hour)
	if n := calm.lanes["C1"]; n > 3 {
		t.Errorf("a calm batch takes %d messages in the channel, want 3 at most: %v", n, calm.posted)
	}
	worst := charged(t)
	worst.say(bar2, "start thyme oil 400ml in B")
	worst.want(worst.say(bar2, "scrap B"), kitchen.Done)
	was := worst.lanes["C1"]
	worst.pass(time.Hour)
	t.Logf("messages to the channel: %d for a calm batch, %d more in an hour for one that nobody answers", calm.lanes["C1"], worst.lanes["C1"]-was)
	if n := worst.lanes["C1"] - was; n < 10 || n > 60 {
		t.Errorf("an unanswered batch takes %d messages in an hour", n)
	}
}

// crewModel knows by itself who is off shift: who said so, and whose sixteen hours
// are over, until they say that they are on or take something on.
type crewModel struct {
	off map[string]bool
	on  map[string]time.Time
}

func (m crewModel) away(p kitchen.Person, now time.Time) bool {
	since, said := m.on[p.ID]
	return p.ID != lead.ID && (m.off[p.ID] || said && now.Sub(since) >= 16*time.Hour)
}

// watch looks at every message that goes out from now on.
func (m crewModel) watch(rt *rapid.T, w *world) {
	lastOwner := map[uint32]string{}
	last := map[string][]kitchen.Person{} // who the latest call of a moment reached
	w.each = func(ch kitchen.Change) {
		k := w.kitchen()
		for id, b := range k.Batches {
			if lastOwner[id] != b.Owner.ID { // taken on: whoever does is there
				m.comes(b.Owner, w.now)
			}
			lastOwner[id] = b.Owner.ID
		}
		for _, e := range ch.Outbox {
			checkReached(rt, m, w.now, k, e, last)
		}
	}
}

// comes notes that somebody took something on.
func (m crewModel) comes(p kitchen.Person, now time.Time) {
	delete(m.off, p.ID)
	if since, said := m.on[p.ID]; said && now.Sub(since) >= 16*time.Hour {
		m.on[p.ID] = now
	}
}

// Over any shift no call mentions and no message is sent to anybody off shift but
// a manager, and what nobody confirms is called in a circle that grows until
// everybody is in it.
func TestNobodyOffShiftIsReachedAndCirclesGrow(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(quiet{t, rt})
		m := crewModel{off: map[string]bool{}, on: map[string]time.Time{}}
		crew := []kitchen.Person{bar1, bar2, larder, lead}
		people, tags := rapid.SampledFrom(crew), rapid.SampledFrom([]string{"A", "B", "C"})
		m.watch(rt, w)
		rt.Repeat(map[string]func(*rapid.T){
			"on": func(rt *rapid.T) {
				p := people.Draw(rt, "who")
				delete(m.off, p.ID)
				m.on[p.ID] = w.now
				w.say(p, "on")
			},
			"off": func(rt *rapid.T) {
				p := people.Draw(rt, "who")
				if a := w.say(p, "off"); a.Kind == kitchen.Done {
					m.off[p.ID] = true
					delete(m.on, p.ID)
				}
			},
			"work": func(rt *rapid.T) {
				verb := rapid.SampledFrom([]string{
					"start rhubarb gin 400ml in", "charged", "charged", "charged", "vented", "strained", "labelled", "washed", "take", "hand over",
					"can't vent", "checked",
				}).Draw(rt, "verb")
				a := w.say(people.Draw(rt, "who"), verb+" "+tags.Draw(rt, "tag"))
				if len(a.Choices) > 0 && rapid.Bool().Draw(rt, "yes") {
					w.tap(people.Draw(rt, "by"), a.Choices[0].Tap)
				}
			},
			"channel": func(rt *rapid.T) {
				w.trouble("C1", rapid.SampledFrom([]string{"", "channel archived"}).Draw(rt, "reason"))
			},
			"wait": func(rt *rapid.T) {
				w.pass(time.Duration(rapid.IntRange(0, 400).Draw(rt, "seconds")) * time.Second)
			},
			"a night": func(rt *rapid.T) { // nobody rang, and what was missed becomes one call
				w.now = w.now.Add(time.Duration(rapid.IntRange(10, 20).Draw(rt, "hours")) * time.Hour)
				w.ring()
			},
		})
	})
}

// checkReached looks at one message that goes out now.
func checkReached(rt *rapid.T, m crewModel, now time.Time, k *kitchen.Kitchen, e kitchen.Entry, last map[string][]kitchen.Person) {
	if e.Edit || e.Kind == kitchen.FallbackCall || e.Kind == kitchen.Slip {
		return
	}
	for _, p := range []kitchen.Person{bar1, bar2, larder, lead} {
		if e.Lane == "@"+p.ID && m.away(p, now) {
			rt.Fatalf("%s goes to %s, who is off shift", e.Key, p.Name)
		}
	}
	if j, ok := k.JointOf(e.Batch); ok && e.Kind == kitchen.JointCall {
		for _, c := range j.Calls {
			checkReached(rt, m, now, k, kitchen.Entry{Key: e.Key, Kind: c.Kind, Batch: c.Batch, Turn: c.Turn, Rung: c.Rung, Lane: e.Lane}, last)
		}
		return
	}
	b := k.Batches[e.Batch]
	if b == nil || !slices.Contains([]kitchen.EntryKind{kitchen.VentCall, kitchen.StrainCall, kitchen.ContactCall}, e.Kind) {
		return
	}
	made := b.Rung
	if e.Kind == kitchen.ContactCall {
		made = b.ContactRung
	}
	if made != e.Rung+1 || e.Lane != "C1" {
		return // a request for the label, or a copy
	}
	circle := k.Circle(b, e.Rung)
	everybody := k.Circle(&kitchen.Batch{Fixed: b.Fixed, Moving: kitchen.Moving{Owner: b.Owner, Declined: b.Declined}}, 9)
	for _, p := range circle {
		if m.away(p, now) {
			rt.Fatalf("%s mentions %s, who is off shift", e.Key, p.Name)
		}
	}
	key := fmt.Sprint(e.Batch, e.Kind, e.Turn)
	was, again := last[key]
	last[key] = circle
	if !again || e.Rung == 0 {
		return
	}
	for _, p := range was {
		if !m.away(p, now) && slices.Contains(everybody, p) && !slices.Contains(circle, p) {
			rt.Fatalf("%s shrank from %v to %v", e.Key, names(was), names(circle))
		}
	}
	kept := slices.DeleteFunc(slices.Clone(was), func(p kitchen.Person) bool { return !slices.Contains(circle, p) })
	if len(circle) == len(kept) && len(circle) < len(everybody) {
		rt.Fatalf("%s did not grow: %v of %v", e.Key, names(circle), names(everybody))
	}
}
