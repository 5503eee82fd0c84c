package voice

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"ventbell/internal/book"
)

// read are the recipes whose evenings people read on paper, one of each kind.
// The evenings of all the others are looked over as well.
var read = []string{
	"rhubarb gin",           // fresh and watery
	"smoky tea rum",         // one charger, strained first, then settled
	"toasted barley whisky", // stands to clear; gluten
	"hazelnut brandy",       // nuts; may be warmed
	"celery leaf vermouth",  // low in alcohol, cold
	"thyme oil",             // warm, oil with a fresh herb
	"blackcurrant vinegar",  // gentle; no alcohol
	"ginger syrup",          // sugar
	"cardamom cream",        // dairy
	"quick cucumber pickle", // vented slowly; the solid is kept
	"gin-soaked melon",      // the same, with alcohol
	"dried orange bitters",  // overproof, in drops
}

// paper is what people read of what was said, each kind of message once.
type paper struct {
	strings.Builder
	written map[string]bool // lines, and messages by their head and buttons
}

func newPaper() *paper { return &paper{written: map[string]bool{}} }

// title writes a heading.
func (w *evening) title(format string, args ...any) {
	if w.paper != nil && !w.unread {
		fmt.Fprintf(w.paper, "\n=== "+format+"\n", args...)
	}
}

// write puts what was said on paper if any of its kinds is new there.
func (w *evening) write(where, text string, kinds []string) {
	if w.paper == nil || w.unread {
		return
	}
	fresh := false
	for _, kind := range kinds {
		kind = bare(kind)
		fresh = fresh || !w.paper.written[kind]
		w.paper.written[kind] = true
	}
	if fresh {
		fmt.Fprintf(w.paper, "%s  %s\n    %s\n", w.now.Format("15:04:05"), where, strings.ReplaceAll(text, "\n", "\n    "))
	}
}

// writeMessage does so with a message and its buttons.
func (w *evening) writeMessage(where string, m Message) {
	text := m.Plain()
	kinds := strings.Split(text, "\n")
	buttons := kinds[0]
	for _, b := range m.Buttons {
		text += fmt.Sprintf("\n[%s]  %s", b.Label, b.Tap.Line)
		buttons += "[" + b.Label + "]"
	}
	w.write(where, text, append(kinds, buttons))
}

// titles calls every recipe alike, the longest name first.
var titles = sync.OnceValue(func() *strings.Replacer {
	recipes := slices.Clone(reviewBook().Recipes)
	slices.SortFunc(recipes, func(a, b book.Recipe) int { return len(b.Name) - len(a.Name) })
	var pairs []string
	for _, r := range recipes {
		pairs = append(pairs, r.Name, "title")
	}
	return strings.NewReplacer(pairs...)
})

var (
	people  = regexp.MustCompile(`@?\b(bar-\d|prep-lead)(, @?(bar-\d|prep-lead))*`)
	goods   = regexp.MustCompile(`# (ml|g) \pL[\pL' -]*([,.]|$)`) // 400 ml gin,
	vessels = regexp.MustCompile(`\b[A-D](( \+|,) [A-D])*\b`)
)

// bare gives a text without what differs from batch to batch.
func bare(text string) string {
	text = titles().Replace(people.ReplaceAllString(text, "who"))
	text = goods.ReplaceAllString(figure.ReplaceAllString(text, "#"), "# goods$2")
	return vessels.ReplaceAllString(text, "X")
}
