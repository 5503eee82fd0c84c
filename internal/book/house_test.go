package book_test

import (
	"strings"
	"testing"

	"ventbell/internal/book"
)

func TestAHouseMaySayWhomToCallAndWhereFirstAidIs(t *testing.T) {
	t.Parallel()
	with := func(lines string) string {
		return strings.Replace(small, "  country: BE\n", "  country: BE\n"+lines, 1)
	}
	b := mustParse(t, with("  emergency_number: 112\n  first_aid: \"Box by the pass: ask   the lead.\"\n"))
	if b.House.Emergency != "112" || b.House.FirstAid != "Box by the pass: ask the lead." {
		t.Errorf("read %q and %q", b.House.Emergency, b.House.FirstAid)
	}
	for _, wrong := range []string{"  emergency_number: the police\n", "  emergency_number: 1\n", "  first_aid: \"\"\n"} {
		if _, err := book.Parse([]byte(with(wrong))); err == nil {
			t.Errorf("%q was read", wrong)
		}
	}
}
