// Package app puts the rooms together: it reads the options, wires, starts and
// stops them in order, and holds the program's subcommands. It is the only
// room that knows all others, and decides nothing about batches.
package app

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
)

const usage = `ventbell rings a prep team's batches: plans, timers, vent and strain calls.

  ventbell practice [--listen ADDR] [--speed N]   try it here: a practice room and a page, nothing to set up
  ventbell demo                                   play one prep shift at high speed
  ventbell run                                    serve a Slack workspace (see README: configuration)
  ventbell read [--json] [--book FILE] TEXT       how a line is understood
  ventbell plan [--json] [--book FILE] TEXT       its charge and rest plan
                [--brim-ml N] [--abv N] [--temp-c N] [--charge-g N] [--at TIME]  figures and a time to try
  ventbell drink [--json] [--book FILE] TEXT      what is in the glass of a drink
  ventbell export --from DAY [--to DAY] --csv|--json [--batches] [--kitchen NAME] [--ledger URL]
  ventbell book export|history [--kitchen NAME] [--ledger URL] [--book FILE] [--version N]
                                                  the book as it was changed from chat; who changed what when
  ventbell figures [--json|--csv] [--book FILE]   the tables behind the plan
  ventbell manifest [--transport socket|http] [--url URL] [--name NAME] [--scopes]  the app to paste into Slack
                    [--replies=false] [--private-channels] [--extras]
  ventbell check [--book FILE] [--slack] [--json] look over the book, the options, Slack and Redis
  ventbell health [--url URL]                     ask a running ventbell whether it is well
`

// Main runs one subcommand and gives the exit status.
func Main(ctx context.Context, args, environ []string, stdout, stderr io.Writer) (int, error) {
	if len(args) == 0 {
		fmt.Fprint(stderr, usage)
		return exitProblem, nil
	}
	status, err := dispatch(ctx, args[0], args[1:], environ, stdout, stderr)
	if errors.Is(err, flag.ErrHelp) {
		return 0, nil
	}
	if err != nil && status == 0 {
		status = 1
	}
	return status, err
}

func dispatch(ctx context.Context, name string, args, environ []string, stdout, stderr io.Writer) (int, error) {
	switch name {
	case "read":
		return readLine(args, stdout, stderr)
	case "plan":
		return planLine(ctx, args, environ, stdout, stderr)
	case "drink":
		return drinkLine(args, stdout, stderr)
	case "book":
		return bookCommand(ctx, args, environ, stdout, stderr)
	case "export":
		return exportCommand(ctx, args, environ, stdout, stderr)
	case "figures":
		return figures(args, stdout, stderr)
	case "manifest":
		return printManifest(args, environ, stdout, stderr)
	case "check":
		return check(ctx, args, environ, stdout, stderr)
	case "practice":
		return practise(ctx, args, stdout, stderr)
	case "demo":
		return demo(ctx, args, stdout, stderr)
	case "run":
		return serve(ctx, environ, stderr)
	case "health":
		return health(ctx, args, stdout, stderr)
	case "help", "-h", "--help":
		fmt.Fprint(stdout, usage)
		return 0, nil
	}
	fmt.Fprint(stderr, usage)
	return exitProblem, fmt.Errorf("no command %q", name)
}

// serve is `ventbell run`.
func serve(ctx context.Context, environ []string, stderr io.Writer) (int, error) {
	o, err := ReadOptions(environ)
	if err != nil {
		return exitProblem, err
	}
	a, err := New(ctx, o, logger(o, stderr))
	if err != nil {
		return 1, err
	}
	return 0, a.Run(ctx)
}

func logger(o Options, w io.Writer) *slog.Logger {
	options := &slog.HandlerOptions{Level: o.LogLevel}
	if o.LogFormat == "text" {
		return slog.New(slog.NewTextHandler(w, options))
	}
	return slog.New(slog.NewJSONHandler(w, options))
}
