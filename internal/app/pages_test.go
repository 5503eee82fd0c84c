package app

import (
	"slices"
	"testing"

	"ventbell/internal/kitchen"
)

func TestTabletsAndPagesAreRead(t *testing.T) {
	t.Parallel()
	for broad, want := range map[string][]kitchen.Page{
		"": nil, "pressurised": {kitchen.PagePressurised}, " food , pressurised": {kitchen.PageFood, kitchen.PagePressurised},
	} {
		h, err := Options{Kitchens: "main=C1", Broad: broad, Tablets: "U7,U8"}.houses()
		if err != nil || !slices.Equal(h.teams["main"].Pages, want) || !slices.Equal(h.teams["main"].Tablets, []string{"U7", "U8"}) {
			t.Errorf("%q gives %+v, %v", broad, h.teams["main"], err)
		}
	}
	if _, err := (Options{Kitchens: "main=C1", Broad: "everything"}).houses(); err == nil {
		t.Error("VENTBELL_BROAD=everything is taken")
	}
}
