package ledger

import (
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"ventbell/internal/kitchen"
)

func openFile(t *testing.T, path string, now func() time.Time) *File {
	t.Helper()
	f, err := OpenFile(path, now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { closeLedger(t, f) })
	return f
}

func ledgerPath(t *testing.T) string { return filepath.Join(t.TempDir(), "ledger") }

func TestReopenedFileKeepsEverythingButLeases(t *testing.T) {
	t.Parallel()
	p := newFilePlace(t)
	commit(t, p.f, "a", "", "r1", everything())
	queue(t, p.f, "a", entry("7/heads-up", "@U1", 2))
	parcel := taken(t, p.f)
	again := parcel.Now.Add(time.Hour)
	done(t, p.f, parcel, kitchen.Delivery{Again: again})
	taken(t, p.f)
	same(t, true, noneTaken(t, p.f).Before(again))
	before := load(t, p.f, "a", "r1")
	closeLedger(t, p.f)
	p.open(t)
	after := load(t, p.f, "a", "r1")
	before.Now, after.Now = time.Time{}, time.Time{}
	same(t, before, after)
	taken(t, p.f) // its holder is gone
	if next := noneTaken(t, p.f); next.Equal(again) {
		t.Errorf("the first lane is not leased: next is %v", next)
	}
	rev := load(t, p.f, "a", "").Rev
	commit(t, p.f, "a", rev, "r2", kitchen.Change{Outbox: []kitchen.Entry{entry("7/strain", "C2", 9)}})
	same(t, "C2", taken(t, p.f).Lane)
}

func TestPacedLaneIsStillPacedInAReopenedFile(t *testing.T) {
	t.Parallel()
	p := newFilePlace(t)
	queue(t, p.f, "a", entry("7/slip", "C1", 1))
	parcel := taken(t, p.f)
	again := parcel.Now.Add(time.Hour)
	done(t, p.f, parcel, kitchen.Delivery{Again: again})
	closeLedger(t, p.f)
	p.open(t)
	same(t, again, noneTaken(t, p.f))
}

func TestFileIsForOneProcess(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		path := ledgerPath(t)
		openFile(t, path, time.Now)
		began := time.Now()
		if _, err := OpenFile(path, time.Now); err == nil {
			t.Error("the file was opened twice")
		}
		if waited := time.Since(began); waited < openWait || waited > 2*openWait {
			t.Errorf("waited %v", waited)
		}
	})
}

func TestFileOfANewerProgramIsRefused(t *testing.T) {
	t.Parallel()
	path := ledgerPath(t)
	f, err := OpenFile(path, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	for v, want := range map[string]error{fmt.Sprint(version + 1): kitchen.ErrNewer, "0": nil, "nonsense": nil} {
		if err := f.write(t.Context(), func(s *step) error { s.put(inMeta, "v", []byte(v)); return nil }); err != nil {
			t.Fatal(err)
		}
		closeLedger(t, f)
		if _, err := OpenFile(path, time.Now); err == nil || want != nil && !errors.Is(err, want) {
			t.Errorf("version %s: error %v", v, err)
		}
		// Put it right again by the way that a test has around the check.
		f = reopenUnchecked(t, path)
	}
	closeLedger(t, f)
}

func TestFileTimeDoesNotGoBack(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		back := time.Duration(0)
		f := openFile(t, ledgerPath(t), func() time.Time { return time.Now().Add(-back) })
		queue(t, f, "a", entry("7/slip", "C1", 1))
		parcel := taken(t, f)
		before := load(t, f, "a", "").Now
		back = time.Hour
		time.Sleep(30 * time.Second)
		now := load(t, f, "a", "").Now
		if passed := now.Sub(before); passed != 30*time.Second {
			t.Errorf("30 s across a step back took %v", passed)
		}
		noneTaken(t, f)
		time.Sleep(30 * time.Second)
		same(t, parcel.Kitchen, taken(t, f).Kitchen)
		back = 0
		time.Sleep(time.Second)
		if passed := load(t, f, "a", "").Now.Sub(before); passed != 61*time.Second {
			t.Errorf("the clock was put right and 61 s took %v", passed)
		}
	})
}

func TestFileForgetsAnswersAfterTheirTime(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		f := openFile(t, ledgerPath(t), time.Now)
		rev := ""
		for n := range 3 * sweepAtOnce {
			rev = commit(t, f, "a", rev, fmt.Sprint(n), kitchen.Change{Answer: []byte("x")})
		}
		time.Sleep(keepAnswer - time.Second)
		if load(t, f, "a", "0").Answer == nil {
			t.Error("an answer is forgotten too early")
		}
		time.Sleep(time.Second)
		if load(t, f, "a", "0").Answer != nil {
			t.Error("an answer is known too long")
		}
		for n := range 3 {
			rev = commit(t, f, "a", rev, fmt.Sprint(n), kitchen.Change{Answer: []byte("y")})
		}
		same(t, "y", string(load(t, f, "a", "0").Answer))
		for _, bucket := range []string{inAnswers, inEnds} {
			left := 0
			if err := f.read(t.Context(), func(s *step) error {
				s.scan(bucket, "", func(string, []byte) bool { left++; return true })
				return nil
			}); err != nil {
				t.Fatal(err)
			}
			same(t, 3, left)
		}
	})
}

func TestFileDropsOldDaysOfTheLog(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		f := openFile(t, ledgerPath(t), time.Now)
		first := time.Now()
		write := func() {
			rev := load(t, f, "a", "").Rev
			commit(t, f, "a", rev, "", kitchen.Change{Log: []kitchen.Line{{Kitchen: "a", Event: "charged"}}})
		}
		lines := func(day time.Time) int {
			l, err := f.Lines(t.Context(), day, 10)
			if err != nil {
				t.Fatal(err)
			}
			return len(l)
		}
		write()
		time.Sleep(24 * time.Hour)
		second := time.Now()
		write()
		time.Sleep(KeepDefault - 24*time.Hour)
		write()
		same(t, []int{1, 1, 1}, []int{lines(first), lines(second), lines(time.Now())})
		time.Sleep(24 * time.Hour)
		write()
		same(t, []int{0, 1, 1}, []int{lines(first), lines(second), lines(time.Now())})
	})
}

func TestClosedFileGivesErrors(t *testing.T) {
	t.Parallel()
	f, err := OpenFile(ledgerPath(t), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	closeLedger(t, f)
	closeLedger(t, f)
	if err := f.Ping(t.Context()); err == nil {
		t.Error("Ping: no error")
	}
	if _, _, err := f.Commit(t.Context(), "a", "", "r1", everything()); err == nil {
		t.Error("Commit: no error")
	}
}
