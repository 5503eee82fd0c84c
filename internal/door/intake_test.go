package door_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"ventbell/internal/door"
)

func TestAClosedDoorTakesNothingInAndWaitsForWhatItTook(t *testing.T) {
	t.Parallel()
	var d door.Intake
	now := time.UnixMicro(1_764_000_000_000_001)
	if !d.LastHeard().IsZero() || !d.Begin(now) || !d.LastHeard().Equal(now) {
		t.Errorf("last heard %v, want %v", d.LastHeard(), now)
	}
	d.Shut()
	if d.Begin(now.Add(time.Second)) || !d.LastHeard().Equal(now) {
		t.Error("a closed door took something in")
	}
	hasty, cancel := context.WithCancel(t.Context())
	cancel()
	if err := d.Drain(hasty); !errors.Is(err, context.Canceled) {
		t.Errorf("did not wait: %v", err)
	}
	d.Go(d.Done)
	if err := d.Drain(t.Context()); err != nil {
		t.Error(err)
	}
}
