package app

import (
	"strings"
	"testing"

	"ventbell/internal/book"
)

func TestTheServiceWaitsForWhatTheLawOfThePlaceDecides(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		country, state, licensed string
		want                     string // in the refusal; empty = it serves
	}{
		{"BE", "", "yes", ""},
		{"BE", "", "no", ""},
		{"BE", "", "unknown", ""},
		{"BE", "", "", "licensed"},
		{"", "", "yes", "country"},
		{"US", "", "yes", "state"},
		{"US", "CA", "yes", ""},
	} {
		b := *book.Sample()
		b.House.Country, b.House.State, b.House.Licensed = test.country, test.state, test.licensed
		err := mayServe(&b)
		switch {
		case test.want == "" && err != nil:
			t.Errorf("%+v: refused: %v", test, err)
		case test.want != "" && (err == nil || !strings.Contains(err.Error(), test.want)):
			t.Errorf("%+v: error %v, want one about %s", test, err, test.want)
		}
	}
}

func TestFiguresPrintsTheTablesInThreeForms(t *testing.T) {
	t.Parallel()
	for flag, want := range map[string][]string{
		"":       {"pressure (", "strength (", "keeping (", "948.0"},
		"--json": {`"name": "pressure"`, `"columns"`, `"948.0"`},
		"--csv":  {"table,vessel,liquid", "strength,40,33.30,948.0", "keeping,O2"},
	} {
		var out, errs strings.Builder
		args := []string{}
		if flag != "" {
			args = append(args, flag)
		}
		// 40 % vol is 33.30 % mass and 948.05 kg/m3 at 20 C: OIML R 22 (1975).
		if status, err := figures(args, &out, &errs); status != 0 || err != nil {
			t.Fatalf("figures %s: status %d, %v", flag, status, err)
		}
		for _, w := range want {
			if !strings.Contains(out.String(), w) {
				t.Errorf("figures %s does not print %q", flag, w)
			}
		}
	}
}
