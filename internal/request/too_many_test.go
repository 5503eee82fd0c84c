package request

import "testing"

// A count that may be of gas is asked about and never lost. Common practice, no
// source.
func TestTooManyOfSomethingIsAskedOfGas(t *testing.T) {
	t.Parallel()
	open := []Open{
		{Batch: 1, Title: "pepper tequila", Vessel: "B", Phase: charging, Mine: true}, {Batch: 2, Title: "ginger gin", Vessel: "C", Phase: resting},
		{Batch: 3, Title: "rhubarb gin", Vessel: "A", Phase: stored},
	}
	r := NewReader(bar())
	for _, w := range []row{
		{"two too many in B", open, "en", "? which meant more gas: put 2 chargers in B by mistake | resting"},
		{"dos de más en B", open, "es", "? which meant more gas: put 2 chargers in B by mistake | resting"},
		{"deux de trop dans B", open, "fr", "? which meant more gas: put 2 chargers in B by mistake | resting"},
		{"started B by mistake", open, "en", ""},
		{"cápsula defectuosa B", open, "es", "no gas B"},
		{"salió mala la cápsula en B", open, "es", "no gas B"},
		{"the rhubarb is good again", open, "en", "taste good again A"},
	} {
		g := r.Read(w.line, Context{Now: evening, Open: w.open})
		switch got := brief(g); {
		case w.want == "" && g.Request != nil && g.Request.Verb == MoreGas:
			t.Errorf("%q reads as %s", w.line, got)
		case w.want != "" && (got != w.want || g.Language != w.in):
			t.Errorf("%q reads as %s %s and not %s %s", w.line, g.Language, got, w.in, w.want)
		}
	}
}
