package app

import (
	"io"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ventbell/internal/clock"
)

func TestTheKeyOfTheWallComesFromAFileAndIsNoShortOne(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "key")
	if err := os.WriteFile(file, []byte("  a-key-for-the-tests\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	o, err := parseOptions([]string{"VENTBELL_WALL_KEY_FILE=" + file})
	if err != nil || o.WallKey != "a-key-for-the-tests" {
		t.Errorf("the key is %q, %v", o.WallKey, err)
	}
	if _, err := ReadOptions([]string{"VENTBELL_WALL_KEY=tiny-one"}); err == nil || !strings.Contains(err.Error(), "VENTBELL_WALL_KEY") || strings.Contains(err.Error(), "tiny-one") {
		t.Errorf("a short key gives %v", err)
	}
}

// In practice the wall is open and its page linked; a house that set no key has none.
func TestTheWallIsOpenInPracticeOnly(t *testing.T) {
	t.Parallel()
	s, err := newStage(t.Context(), clock.Starting(time.Now(), 1), "127.0.0.1:0", filepath.Join(t.TempDir(), "kitchen.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	defer s.room.Close()
	fetch := func(address string) (int, string) {
		t.Helper()
		r, err := http.Get(address)
		if err != nil {
			t.Fatal(err)
		}
		defer func() { _ = r.Body.Close() }()
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Fatal(err)
		}
		return r.StatusCode, string(body)
	}
	a, stop, err := s.open(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	wall := "http://" + a.Address() + "/wall"
	if code, body := fetch(wall); code != http.StatusOK || !strings.Contains(body, ">A<") {
		t.Errorf("the wall of the practice room is %d %s", code, body)
	}
	if _, body := fetch(s.room.Config().BaseURL); !strings.Contains(body, `href="`+wall+`"`) {
		t.Errorf("the page of the practice room has no link to %s", wall)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
	s.opts.wallOpen = false
	a, stop, err = s.open(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if code, _ := fetch("http://" + a.Address() + "/wall"); code != http.StatusNotFound {
		t.Errorf("without a key the wall is %d", code)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
}
