package app

import (
	"strings"
	"testing"
	"time"
)

// What costs money or hurts, one mistake a test, and the message that stops it. The
// mistakes are common practice, no source.

// A phone in one pocket is silenced; the call here has a name in it, comes again, to
// more people, and lives through a restart.
func TestAForgottenRestIsCalledByNameAndAgainToMorePeople(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.says("bar-2", "start thyme oil 400ml in B")
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	if err := s.stop(); err != nil {
		t.Fatal(err)
	}
	s.begin()
	due := s.batch("A").VentAt.Time()
	s.until(due)
	s.sees("Vent ", ", A", "@bar-1", "no flame")
	s.until(due.Add(30 * time.Second))
	s.sees(" late: vent now", "@bar-1", "@bar-2")
	s.until(due.Add(90 * time.Second))
	s.sees(" late: vent now", "@bar-1", "@bar-2", "@prep-lead")
}

// Vented on time and strained late is bitter all the same: the second clock is that
// of the solids, and has a cap.
func TestSolidsLeftInAreCalledUntilTheirCap(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	s.sees("Solids out 20 min after charger 1")
	s.ventsOnTime("bar-1", "A")
	b := s.batch("A")
	s.until(b.CallAt.Time())
	s.sees("Strain ", ", A", "@bar-1", "Solids out by")
	s.until(s.batch("A").ContactAt.Time())
	s.sees("Strain A now", "20 min on the solids")
}

func TestSolidsLeftOvernightStopTheSignatureAndReachTheManager(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.charges("larder", "thyme oil 400ml", "A")
	s.ventsOnTime("larder", "A")
	s.until(s.batch("A").CallAt.Time())
	s.says("closer", "closing")
	s.sees("Finish or sign with a reason", "A strain now: thyme oil, larder")
	s.says("closer", "sign")
	eventually(t, "a reason is asked for", func() bool { _, open := s.room.Form(s.crew["closer"]); return open })
	s.until(time.Date(2026, 11, 25, 7, 0, 0, 0, s.zone))
	for _, who := range []string{"closer", "prep-lead"} {
		s.told(who, "Finish what is open", "Tue 24 Nov ended unsigned", "A strain now: thyme oil")
	}
}

func TestAJarWithoutALabelIsCalledAndItsDayShortened(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	s.ventsOnTime("bar-1", "A")
	s.until(s.batch("A").CallAt.Time())
	s.says("bar-1", "strained A 345ml")
	s.sees("Label 345 ml, A", "Use by", "contains alcohol")
	s.passes(11 * time.Minute)
	s.sees("Label A", "@bar-1", "stands without one")
	s.says("closer", "closing")
	s.sees("Label A", "labelled A")
	s.hears("closer", "sign because everybody is tired", "No label at close: use by Wed 25 Nov now, A rhubarb gin")
	s.hears("bar-1", "label of A", "Use by Wed 25 Nov", "Shortened: it had no label at close")
}

func TestAnAllergenIsNamedFromTheStartAndAsksForADeepWash(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.charges("bar-1", "pink peppercorn gin 400ml", "A")
	s.sees("Weigh ", "for A", "Contains nuts")
	s.hears("floor", "what's got nuts", "Keep these from them", "pink peppercorn gin")
	s.ventsOnTime("bar-1", "A")
	s.until(s.batch("A").CallAt.Time())
	s.says("bar-1", "strained A 330ml")
	s.sees("Label 330 ml, A", "Contains: nuts")
	s.says("bar-1", "labelled A")
	s.taps("bar-1", s.hears("bar-1", "washed A", "nuts may stay in valve, gasket and nozzle"), "Plain wash only")
	s.hears("bar-2", "start rhubarb gin 400ml in A", "Deep wash A first", "pink peppercorn gin left nuts in it")
}

func TestAChargedVesselIsSaidToBeUnderPressureUntilItIsHeardEmpty(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	s.sees("PRESSURISED, 2 of 2 since", "bar-1: nobody adds gas")
	s.hears("bar-2", "is A safe to open?", "Leave A shut", "PRESSURISED")
	s.hears("floor", "resting", "A PRESSURISED")
	s.hears("bar-2", "vessel A", "PRESSURISED since", "bar-1")
	s.hears("bar-2", "washed A", "A is PRESSURISED since", "Vent it first")
	s.hears("bar-2", "strained A", "Vented and silent, A?")
	s.ventsOnTime("bar-1", "A")
	s.sees("Empty ", ", A, bar-1")
	s.hears("bar-2", "is A safe to open?", "Press twice more first, A")
}

func TestTheSecondOfTwoWhoChargeOneVesselIsStopped(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	s.passes(20 * time.Second)
	s.hears("larder", "charged A", "Stop at 2, A", "full since", "bar-1")
	m := s.sees("Stop at 2, A", "@bar-1", "larder told one charger more", "Did gas go in? Then keep it cold and away from people, and vent now.")
	s.taps("larder", m, "Gas went in")
	s.sees("Vent A now", "gas went in above the count")
}

func TestAChargerTooManyAndAHotLiquidAreRefused(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.hears("bar-1", "start ginger syrup 400ml at 60C in A", "Cool it: 50 C at most")
	s.hears("bar-1", "start coffee cream 400ml at 30C in A", "The liquid for coffee cream is 2 to 5 C")
	s.says("bar-1", "start smoky tea rum 200ml in D")
	s.sees("Weigh ", "for D", "1 charger")
	s.says("bar-1", "charged D")
	s.passes(20 * time.Second)
	s.hears("bar-2", "charged D", "Stop at 1, D")
	s.sees("Stop at 1, D", "bar-2 told one charger more")
}

func TestTheBoxIsSaidToRunLowBeforeService(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.says("prep-lead", "counted 5 chargers")
	s.says("bar-1", "start rhubarb gin 400ml in A")
	s.says("bar-2", "rhubarb gin 400ml for 22:00")
	s.sees("Mind the chargers", "5 chargers in the box")
	s.says("bar-1", "start ginger gin 400ml in B")
	s.sees("Order or borrow chargers", "zero by plan, not yet in fact")
	s.hears("bar-2", "chargers left?", "Tonight still takes", "too few")
}

func TestOneWordHandsAVesselOver(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	s.says("bar-1", "hand over A")
	s.sees("Take A, somebody", "bar-1 asks")
	s.hears("bar-2", "take A", "A is yours")
	s.sees("Taken, A", "bar-2 has")
	s.until(s.batch("A").VentAt.Time())
	if m := s.sees("Vent ", ", A, ", "upright"); !strings.Contains(s.versions(m)[0], "@bar-2") || strings.Contains(s.versions(m)[0], "@bar-1") {
		t.Errorf("called is not who took it: %s", s.text(m))
	}
}

func TestWhatIsReadInALineIsSaidBeforeAnythingIsWeighed(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.says("bar-1", "start rhubarb gin 90 in A")
	s.sees("90: which is meant?", "Nothing has started", "90g", "90ml")
	s.says("bar-2", "start ginger gin half in B")
	s.sees("half: which is meant?", "Nothing has started")
	if n := len(s.kitchen().Open()); n != 0 {
		t.Fatalf("%d batches started from lines that can be read in two ways:\n%s", n, s.transcript())
	}
	s.hears("bar-1", "start rhubarb gin 400ml rest 90 s in A", "Read as: rhubarb gin, 400 ml", "rest 1:30")
}

func TestEveryVentSaysNoFlame(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.charges("bar-1", "dried orange bitters 200ml", "A")
	s.sees("Weigh ", "Keep flame and sparks away")
	s.told("bar-1", "Counted: charger 2 of 2", "Jug ready, no flame")
	due := s.batch("A").VentAt.Time()
	s.until(due.Add(-20 * time.Second))
	s.told("bar-1", "Vent ", "no flame")
	s.until(due)
	s.sees("Vent ", ", A", "Faces clear, no flame")
	s.until(due.Add(30 * time.Second))
	s.sees(" late: vent now", "Faces clear, no flame")
}

func TestWhatMustBeColdIsCalledWhileItIsNot(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	// Cream kept charged for service.
	s.says("pastry", "cream D 1 charger")
	s.sees("Keep D cold and tagged", "Fridge, 5 C or below, 48 h at most")
	// Made warm: to 21 C within 2 h, to 5 C within 6 h (FDA Food Code 3-501.14).
	s.charges("larder", "ginger syrup 400ml at 38C", "A")
	s.ventsOnTime("larder", "A")
	s.until(s.batch("A").CallAt.Time())
	s.says("larder", "strained A 350ml")
	s.says("larder", "labelled A")
	s.until(time.Date(2026, 11, 24, 19, 45, 0, 0, s.zone))
	s.sees("Measure A by 20:00", "ginger syrup has to be at 21", "Shallow pan or ice bath")
	s.passes(30 * time.Minute)
	s.sees("Keep A back", "nobody measured 21")
	s.hears("closer", "fridge 9C", "Shut the fridge, turn it down", "Over 4 h above 5")
	s.says("closer", "closing")
	s.sees("Bin A", "ginger syrup", "not cold in time")
	s.passes(46*time.Hour + 30*time.Minute)
	s.sees("Empty D now", "@pastry", "Bin what is left")
}

func TestTheNextStartSaysHowTheLastOneCameOut(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.makes("bar-1", "rhubarb gin 400ml", "A", "345ml")
	s.taps("bar-1", s.sees("Stored, ", "345 ml", "how did it come out?"), "Strong")
	s.sees("Came out: strong")
	s.passes(time.Hour)
	s.hears("bar-2", "start rhubarb gin 400ml in B", "Last time", "345 ml", "strong")
}

// Messages to the whole channel about one batch, as the room sees them: three where
// all is well.
func TestMessagesToTheChannelAreFew(t *testing.T) {
	t.Parallel()
	count := func(s *service) int { return len((&shift{stage: s.stage}).seen()) }
	calm := openService(t, sixPM)
	calm.makes("bar-1", "rhubarb gin 400ml", "A", "345ml")
	calm.sees("Stored, ")
	calm.passes(time.Hour)
	worst := openService(t, sixPM)
	worst.says("bar-2", "on")
	worst.charges("bar-1", "rhubarb gin 400ml", "A")
	worst.until(worst.batch("A").VentAt.Time())
	hour := worst.clock.Now().Add(time.Hour)
	for n := count(worst); worst.due().Before(hour); n = count(worst) { // each is shown before the next
		worst.until(worst.due())
		eventually(t, "a call is shown", func() bool { return count(worst) > n })
	}
	t.Logf("messages to the channel: %d for a calm batch, %d for one that nobody answers for an hour", count(calm), count(worst))
	if n := count(calm); n > 3 || n == 0 {
		t.Errorf("a calm batch takes %d messages in the channel, want 3 at most:\n%s", n, calm.transcript())
	}
	if n := count(worst); n < 4 || n > 60 {
		t.Errorf("an unanswered batch takes %d messages in an hour", n)
	}
}
