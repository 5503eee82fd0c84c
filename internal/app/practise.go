package app

import (
	"context"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"ventbell/internal/clock"
)

// practise is `ventbell practice`: a practice room with a page to type and tap
// in, and the whole service behind it.
func practise(ctx context.Context, args []string, stdout, stderr io.Writer) (int, error) {
	flags := flag.NewFlagSet("practice", flag.ContinueOnError)
	flags.SetOutput(stderr)
	listen := flags.String("listen", "127.0.0.1:8090", "`address` of the page, on this host only")
	speed := flags.Float64("speed", 1, "how many times faster than the world the clocks run")
	data := flags.String("data", "", "`file` that keeps the kitchen; one that is thrown away when not given")
	if err := flags.Parse(args); err != nil {
		return exitProblem, err
	}
	if *speed < 1 || *speed > 60 {
		return exitProblem, fmt.Errorf("speed %v: say 1 to 60", *speed)
	}
	path, remove, err := dataFile(*data)
	if err != nil {
		return 1, err
	}
	defer remove()
	log := slog.New(slog.NewTextHandler(stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	s, err := newStage(ctx, clock.Starting(time.Now(), *speed), *listen, path, log)
	if err != nil {
		return 1, err
	}
	defer s.room.Close()
	_, stop, err := s.open(ctx)
	if err != nil {
		return 1, err
	}
	fmt.Fprintf(stdout, "Practice room: %s\nType there as anybody of the crew, for one: /bell start pepper tequila 500ml\nStop with Ctrl-C.\n\n",
		s.room.Config().BaseURL)
	s.print(ctx, stdout)
	return 0, stop()
}

// dataFile gives the file to keep the kitchen in; a name of nothing gives one
// that remove throws away.
func dataFile(name string) (path string, remove func(), err error) {
	if name != "" {
		return name, func() {}, nil
	}
	dir, err := os.MkdirTemp("", "ventbell-*")
	if err != nil {
		return "", nil, fmt.Errorf("make a place for the kitchen: %w", err)
	}
	return filepath.Join(dir, "kitchen.db"), func() { _ = os.RemoveAll(dir) }, nil
}
