// Command ventbell runs the kitchen's bell: a chat bot that plans, times and
// calls the batches of a prep team.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	_ "time/tzdata" // the house's zone is known without the system's help

	"ventbell/internal/app"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	status, err := app.Main(ctx, os.Args[1:], os.Environ(), os.Stdout, os.Stderr)
	if err != nil {
		fmt.Fprintln(os.Stderr, "ventbell:", err)
	}
	if status != 0 {
		stop()
		os.Exit(status)
	}
}
