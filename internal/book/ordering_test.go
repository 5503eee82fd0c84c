package book

import (
	"strings"
	"testing"
	"time"
)

// ordered gives the sample book with other lines on how chargers are ordered.
func ordered(t *testing.T, lines string) (*Book, error) {
	t.Helper()
	text := string(Sample().Text)
	from := strings.Index(text, "  charger_cutoff:")
	to := strings.Index(text, "  first_aid:")
	if from < 0 || to < from {
		t.Fatal("the sample no longer says how chargers are ordered")
	}
	return Parse([]byte(text[:from] + lines + text[to:]))
}

func TestHowChargersAreOrderedIsRead(t *testing.T) {
	t.Parallel()
	b, err := ordered(t, "  charger_cutoff: 9:30\n  charger_lead: 2 days\n  charger_delivery: [mon, Thu]\n  charger_reorder: 20\n")
	if err != nil {
		t.Fatal(err)
	}
	h := b.House
	if h.ChargerCutoff != 9*time.Hour+30*time.Minute || h.ChargerLead != 2 || h.ChargerDays != 1<<time.Monday|1<<time.Thursday || h.ChargerReorder != 20 {
		t.Errorf("read as %v, %d days, %b, %d", h.ChargerCutoff, h.ChargerLead, h.ChargerDays, h.ChargerReorder)
	}
	b, err = ordered(t, "  charger_cutoff: 14:00\n")
	if err != nil || b.House.ChargerLead != 1 || b.House.ChargerDays != 0 {
		t.Errorf("with a cut-off alone: %d days, %b, %v", b.House.ChargerLead, b.House.ChargerDays, err)
	}
	for lines, fault := range map[string]string{
		"  charger_cutoff: noon\n":                                 "charger_cutoff",
		"  charger_cutoff: 25:00\n":                                "charger_cutoff",
		"  charger_cutoff: 14:00\n  charger_lead: soon\n":          "charger_lead",
		"  charger_cutoff: 14:00\n  charger_delivery: [someday]\n": "charger_delivery",
		"  charger_reorder: 0\n":                                   "charger_reorder",
		"  charger_lead: 1 day\n":                                  "charger_cutoff is missing",
		"  charger_delivery: [mon]\n":                              "charger_cutoff is missing",
	} {
		if _, err := ordered(t, lines); err == nil || !strings.Contains(err.Error(), fault) {
			t.Errorf("%q gives %v, want a fault of %s", lines, err, fault)
		}
	}
}
