package app

import (
	"context"
	"flag"
	"fmt"
	"io"
	"net/http"
	"time"
)

// health is `ventbell health`: it asks a running ventbell whether it is well,
// for a container's health check.
func health(ctx context.Context, args []string, stdout, stderr io.Writer) (int, error) {
	flags := flag.NewFlagSet("health", flag.ContinueOnError)
	flags.SetOutput(stderr)
	url := flags.String("url", "http://127.0.0.1:8080/healthz", "where it answers")
	if err := flags.Parse(args); err != nil {
		return exitProblem, err
	}
	ctx, cancel := context.WithTimeout(ctx, 3*time.Second)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, *url, nil)
	if err != nil {
		return exitProblem, fmt.Errorf("ask for health: %w", err)
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return 1, fmt.Errorf("ask for health: %w", err)
	}
	defer resp.Body.Close()
	fmt.Fprintln(stdout, resp.Status)
	if resp.StatusCode != http.StatusOK {
		return 1, nil
	}
	return 0, nil
}
