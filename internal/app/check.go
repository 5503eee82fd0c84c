package app

import (
	"cmp"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/plan"
)

// weight is how much a finding matters.
type weight string

const (
	blocks weight = "blocks" // the service does not start, or loses what matters
	look   weight = "look"   // it serves, and something is worth mending
	note   weight = "note"   // good to know
)

// finding is one thing that `check` found, with its cure.
type finding struct {
	Weight weight `json:"weight"`
	Area   string `json:"area"` // options, book, place, slack, channel, manager, webhooks, redis
	What   string `json:"what,omitempty"`
	Said   string `json:"said"`
	Cure   string `json:"cure,omitempty"`
}

// String gives a finding as one line.
func (f finding) String() string {
	words := strings.TrimSuffix(f.Said, ".")
	if f.What != "" {
		words = f.What + ": " + words
	}
	if f.Cure != "" {
		words += ". " + f.Cure
	}
	return string(f.Weight) + ": " + f.Area + ": " + words
}

// checkLimit is for all that `check` asks of others.
const checkLimit = time.Minute

// check is `ventbell check`: one line per finding, with its cure. The book is
// always looked over; the options, Slack and Redis when the environment of
// `run` is there, or with --slack. Nothing is posted or written.
func check(ctx context.Context, args, environ []string, stdout, stderr io.Writer) (int, error) {
	flags := flag.NewFlagSet("check", flag.ContinueOnError)
	flags.SetOutput(stderr)
	path := flags.String("book", "", "the book's `file`; VENTBELL_BOOK, else the sample book")
	all := flags.Bool("slack", false, "look over the options, Slack and Redis too, as `run` would find them")
	asJSON := flags.Bool("json", false, "print one JSON object")
	if err := flags.Parse(args); err != nil {
		return exitProblem, err
	}
	o, err := parseOptions(environ)
	if err != nil {
		return exitProblem, err
	}
	if *path == "" {
		*path = o.Book
	}
	b, err := openBook(*path)
	if err != nil {
		return exitProblem, err
	}
	findings := checkBook(b, cmp.Or(*path, "sample book"))
	if *all || configured(environ) {
		ctx, cancel := context.WithTimeout(ctx, checkLimit)
		defer cancel()
		findings = append(findings, checkSetup(ctx, o)...)
	}
	if err := printFindings(stdout, b, findings, *asJSON); err != nil {
		return 1, err
	}
	if slices.ContainsFunc(findings, func(f finding) bool { return f.Weight == blocks }) {
		return exitProblem, nil
	}
	return 0, nil
}

// configured says that the environment is that of `run`.
func configured(environ []string) bool {
	for _, v := range environ {
		name, value, _ := strings.Cut(v, "=")
		if name == "VENTBELL_KITCHENS" && value != "" {
			return true
		}
	}
	return false
}

// checkBook looks over the book in a file and what it says of the place.
func checkBook(b *book.Book, file string) []finding {
	var found []finding
	for _, f := range plan.CheckBook(b) {
		found = append(found, finding{look, "book", fmt.Sprintf("%s:%d, %s", file, f.Line, f.What), f.Said, ""})
	}
	said, must := placeFindings(b)
	for _, words := range said {
		w := look
		if must {
			w = blocks
		}
		found = append(found, finding{Weight: w, Area: "place", Said: words})
	}
	return found
}

// checkSetup looks over all that `run` needs beside the book.
func checkSetup(ctx context.Context, o Options) []finding {
	var found []finding
	for _, err := range o.faults() {
		found = append(found, finding{Weight: blocks, Area: "options", Said: err.Error()})
	}
	if o.Transport == "webhook" {
		found = append(found, checkWebhooks(o)...)
	} else {
		found = append(found, checkSlack(ctx, o)...)
	}
	return append(found, checkLedger(ctx, o)...)
}

// checkWebhooks looks over the addresses of another chat server. Whether they
// take messages shows only by posting.
func checkWebhooks(o Options) []finding {
	webhooks, err := o.webhooks()
	if err != nil || len(webhooks) == 0 {
		return nil // the options say so
	}
	found := []finding{{
		note, "webhooks", "", "whether they take messages cannot be known without posting",
		"Start, and type /bell help in a channel of each",
	}}
	for _, channel := range sortedKeys(webhooks) {
		if strings.HasPrefix(webhooks[channel], "http:") {
			found = append(found, finding{
				look, "webhooks", channel, "its address is not encrypted", "Use https, or a network of its own",
			})
		}
	}
	return found
}

func printFindings(w io.Writer, b *book.Book, findings []finding, asJSON bool) error {
	if asJSON {
		out := json.NewEncoder(w)
		out.SetEscapeHTML(false)
		out.SetIndent("", "  ")
		return out.Encode(struct {
			Recipes  int       `json:"recipes"`
			Vessels  int       `json:"vessels"`
			Findings []finding `json:"findings"`
		}{len(b.Recipes), len(b.Vessels), append([]finding{}, findings...)})
	}
	for _, f := range findings {
		fmt.Fprintln(w, f)
	}
	_, err := fmt.Fprintf(w, "%d recipes, %d vessels, %d findings\n", len(b.Recipes), len(b.Vessels), len(findings))
	return err
}
