package plan_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/plan"
)

// tick is the grain of the checks here: every span in them is a multiple of it.
const tick = 15 * time.Second

// model is a job by the figures of the house's own table of best starts: two
// minutes of charging and swirling, a minute of venting, two of settling, two of
// straining (common practice, no source).
func model(rest, slack time.Duration) plan.Job {
	return plan.Job{
		Charge: 2 * time.Minute, Rest: rest, Vent: time.Minute, Settle: 2 * time.Minute,
		Strain: 2 * time.Minute, Slack: slack,
	}
}

// staggered gives the starts of jobs and fails the test when that does not work.
func staggered(t fataler, jobs []plan.Job, hands int) []time.Duration {
	t.Helper()
	starts, err := plan.Stagger(jobs, hands)
	if err != nil || len(starts) != len(jobs) {
		t.Fatalf("Stagger(%v, %d) = %v, %v", jobs, hands, starts, err)
	}
	return starts
}

type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

// done gives by when all jobs are done if every strain is on time.
func done(jobs []plan.Job, starts []time.Duration) time.Duration {
	var end time.Duration
	for i, j := range jobs {
		end = max(end, starts[i]+j.Charge+j.Rest+j.Vent+j.Settle+j.Strain)
	}
	return end
}

func TestOnePairOfHandsStartsAtTheTabulatedMinutes(t *testing.T) {
	t.Parallel()
	// A table found by a search of its own, written before this one and apart
	// from it, in whole minutes: rest, starts, all done. Its strains are all on
	// time.
	for _, row := range []struct {
		rest   int
		starts []int
		done   int
	}{
		{1, []int{0}, 8},
		{1, []int{0, 8}, 16},
		{1, []int{0, 8, 16}, 24},
		{1, []int{0, 8, 16, 24}, 32},
		{2, []int{0}, 9},
		{2, []int{0, 2}, 11},
		{2, []int{0, 5, 10}, 19},
		{2, []int{0, 2, 11, 13}, 22},
		{3, []int{0}, 10},
		{3, []int{0, 2}, 12},
		{3, []int{0, 2, 12}, 22},
		{3, []int{0, 2, 12, 14}, 24},
		{5, []int{0}, 12},
		{5, []int{0, 2}, 14},
		{5, []int{0, 5, 13}, 25},
		{5, []int{0, 2, 14, 16}, 28},
		{10, []int{0}, 17},
		{10, []int{0, 2}, 19},
		{10, []int{0, 2, 7}, 24},
		{10, []int{0, 2, 7, 9}, 26},
	} {
		jobs := slices.Repeat([]plan.Job{model(minutes(row.rest), 0)}, len(row.starts))
		got := staggered(t, jobs, 1)
		var want []time.Duration
		for _, m := range row.starts {
			want = append(want, minutes(m))
		}
		if diff := cmp.Diff(want, got); diff != "" || done(jobs, got) != minutes(row.done) {
			t.Errorf("rest %d min, %d vessels: done %v, want %d min; starts (-want +got):\n%s",
				row.rest, len(jobs), done(jobs, got), row.done, diff)
		}

		late := slices.Repeat([]plan.Job{model(minutes(row.rest), 2*time.Minute)}, len(row.starts))
		if end, ok := finish(late, staggered(t, late, 1), 1); !ok || end > minutes(row.done) {
			t.Errorf("rest %d min, %d vessels, strains up to 2 min late: done %v, %v; on time %d min",
				row.rest, len(jobs), end, ok, row.done)
		}
	}
}

func minutes(n int) time.Duration { return time.Duration(n) * time.Minute }

func TestRestOfOneMinuteOverlapsOnlyWithASecondPairOfHands(t *testing.T) {
	t.Parallel()
	jobs := []plan.Job{model(time.Minute, 0), model(time.Minute, 0)}
	if got := staggered(t, jobs, 1)[1]; got != done(jobs[:1], []time.Duration{0}) {
		t.Errorf("the second starts at %v, want when the first is done", got)
	}
	// Two vents are a minute and a quarter apart, and nothing else stands against it.
	if got := staggered(t, jobs, 2)[1]; got != 75*time.Second {
		t.Errorf("with two pairs of hands the second starts at %v, want 1:15", got)
	}
}

func TestStrainedFirstSettlesAfterwards(t *testing.T) {
	t.Parallel()
	j := model(2*time.Minute, 0)
	j.StrainFirst = true
	// Charge 0 to 2, vent and strain 4 to 7: the second's hands-on parts fit
	// behind, its vent not before 7.
	if got := staggered(t, []plan.Job{j, j}, 1)[1]; got != 7*time.Minute {
		t.Errorf("the second starts at %v, want 7 min", got)
	}
}

func TestVesselUsedAgainWaitsUntilItIsWashed(t *testing.T) {
	t.Parallel()
	a, b := model(2*time.Minute, 0), model(2*time.Minute, 0)
	a.Vessel, b.Vessel = "A", "B"
	a.Wash, b.Wash = 5*time.Minute, 5*time.Minute
	got := staggered(t, []plan.Job{a, b, a}, 2)
	if want := 14 * time.Minute; got[2] != want { // strained at 9:00
		t.Errorf("the second round starts at %v, want %v (all: %v)", got[2], want, got)
	}
}

func TestMoreThanSixAreTakenSixAtATime(t *testing.T) {
	t.Parallel()
	jobs := slices.Repeat([]plan.Job{model(time.Minute, 0)}, 8)
	got := staggered(t, jobs, 1)
	for i, at := range got {
		if want := minutes(8 * i); at != want {
			t.Errorf("job %d starts at %v, want %v", i+1, at, want)
		}
	}
}

func TestStaggerRefusesWhatNoCrewCanDo(t *testing.T) {
	t.Parallel()
	change := func(f func(*plan.Job)) []plan.Job {
		j := model(time.Minute, 0)
		f(&j)
		return []plan.Job{model(time.Minute, 0), j}
	}
	for name, tc := range map[string]struct {
		jobs  []plan.Job
		hands int
	}{
		"no hands":         {[]plan.Job{model(time.Minute, 0)}, 0},
		"no charge":        {change(func(j *plan.Job) { j.Charge = 0 }), 1},
		"a vent below 0":   {change(func(j *plan.Job) { j.Vent = -1 }), 1},
		"no strain":        {change(func(j *plan.Job) { j.Strain = 0 }), 1},
		"a rest below 0":   {change(func(j *plan.Job) { j.Rest = -1 }), 1},
		"a slack below 0":  {change(func(j *plan.Job) { j.Slack = -1 }), 1},
		"a settle too big": {change(func(j *plan.Job) { j.Settle = 25 * time.Hour }), 1},
		"a wash too big":   {change(func(j *plan.Job) { j.Wash = 1<<63 - 1 }), 1},
	} {
		if starts, err := plan.Stagger(tc.jobs, tc.hands); err == nil {
			t.Errorf("%s: starts %v", name, starts)
		}
	}
	if starts, err := plan.Stagger(nil, 1); err != nil || len(starts) != 0 {
		t.Errorf("no jobs: %v, %v", starts, err)
	}
}

// anyJobs draws jobs whose spans are a few ticks; some are alike, some share a
// vessel.
func anyJobs(t *rapid.T, most int) []plan.Job {
	span := func(what string, low, high int) time.Duration {
		return time.Duration(rapid.IntRange(low, high).Draw(t, what)) * tick
	}
	var jobs []plan.Job
	for range rapid.IntRange(1, most).Draw(t, "jobs") {
		if len(jobs) > 0 && rapid.Bool().Draw(t, "again") {
			jobs = append(jobs, jobs[len(jobs)-1])
			continue
		}
		jobs = append(jobs, plan.Job{
			Charge: span("charge", 1, 4), Rest: span("rest", 0, 8), Vent: span("vent", 1, 2),
			Settle: span("settle", 0, 4), Strain: span("strain", 1, 4), Slack: span("slack", 0, 2),
			StrainFirst: rapid.Bool().Draw(t, "strain first"), Wash: span("wash", 0, 3),
		})
	}
	for i := range jobs {
		jobs[i].Vessel = rapid.SampledFrom([]string{"", "A", "B", "C"}).Draw(t, "vessel")
	}
	return jobs
}

func TestStaggerNeverClashes(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		jobs, hands := anyJobs(t, 8), rapid.IntRange(1, 4).Draw(t, "hands")
		starts := staggered(t, jobs, hands)
		if _, ok := finish(jobs, starts, hands); !ok {
			t.Fatalf("%d hands, starts %v: a clash in %+v", hands, starts, jobs)
		}
		if diff := cmp.Diff(starts, staggered(t, jobs, hands)); diff != "" {
			t.Fatalf("found twice, not the same:\n%s", diff)
		}
	})
}

func TestMoreHandsNeverEndLater(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		jobs := anyJobs(t, 8)
		before, ok := finish(jobs, staggered(t, jobs, 1), 1)
		for hands := 2; ok && hands <= 4; hands++ {
			var end time.Duration
			if end, ok = finish(jobs, staggered(t, jobs, hands), hands); end > before {
				t.Fatalf("%d hands end at %v, %d at %v: %+v", hands-1, before, hands, end, jobs)
			}
			before = end
		}
		if !ok {
			t.Fatalf("a clash in %+v", jobs)
		}
	})
}

func TestStaggerFindsTheBestThatThereIs(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		jobs, hands := anyJobs(t, 3), rapid.IntRange(1, 3).Draw(t, "hands")
		starts := staggered(t, jobs, hands)
		end, ok := finish(jobs, starts, hands)
		if !ok {
			t.Fatalf("starts %v clash", starts)
		}
		if better, ok := beaten(jobs, hands, end, total(starts)); ok {
			t.Fatalf("%d hands: starts %v end at %v, %v are better: %+v", hands, starts, end, better, jobs)
		}
	})
}

func BenchmarkStaggerSix(b *testing.B) {
	alike := slices.Repeat([]plan.Job{model(3*time.Minute, 0)}, 6)
	mixed := slices.Clone(alike)
	for i := range mixed {
		mixed[i].Charge = minutes(1 + i%2)
		mixed[i].Vessel, mixed[i].Wash = string(rune('A'+i%4)), 5*time.Minute
	}
	for name, jobs := range map[string][]plan.Job{"alike": alike, "mixed": mixed} {
		for _, hands := range []int{1, 2} {
			b.Run(fmt.Sprintf("%s/%d hands", name, hands), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := plan.Stagger(jobs, hands); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
