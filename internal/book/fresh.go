package book

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"ventbell/internal/quantity"
)

// Fresh gives the values of a recipe that nobody wrote down yet, as its class
// has them. The batch leaves a fifth of the class's vessel for the solids: an
// estimate.
func (c Class) Fresh() map[string]string {
	limits := func(low, target, high fmt.Stringer) string { return fmt.Sprintf("%s, %s, %s", low, target, high) }
	values := map[string]string{
		"batch": (c.Proven * 4 / 5).String(), "ratio": c.Ratio.String(), "temp": limits(c.Temp.Min, c.Temp.Target, c.Temp.Max),
		"proven": c.Proven.String(), "chargers": strconv.Itoa(c.Chargers), "swirl": quantity.Words(c.Swirl),
		"rest":   quantity.Words(c.Rest.Min) + ", " + quantity.Words(c.Rest.Target) + ", " + quantity.Words(c.Rest.Max),
		"settle": quantity.Words(c.Settle), "contact": quantity.Words(c.Contact), "judge_after": quantity.Words(c.JudgeAfter),
		"storage": c.Storage,
	}
	if c.Clear > 0 {
		values["clear"] = quantity.Words(c.Clear)
	}
	if c.Product == SolidKept { // the pieces lift the liquid to the line
		values["product"], values["vent"] = string(SolidKept), string(SlowVent)
		values["batch"] = (c.Proven / 2).String()
	}
	for key, is := range map[string]bool{"strain_first": c.StrainFirst, "gentle": c.Gentle} {
		if is {
			values[key] = "true"
		}
	}
	return values
}

// keyOrder is the order in which a rewritten entry has its keys.
var keyOrder = []string{
	"name", "tag", "aliases", "solid", "base", "nominal", "line", "brim", "charger_limit", "stamped_pressure",
	"line_holds_solids", "material", "head", "insulated", "nut_free", "check_every", "batch", "ratio", "prep", "choose", "use", "temp", "proven",
	"chargers", "swirl", "rest", "settle", "strain_first", "contact", "clear", "judge_after", "gentle", "vent", "product",
	"storage", "allergens", "hold", "override", "override_by", "override_document", "clear_with", "serve", "cycles",
	"language", "zone", "country", "state", "licensed", "bottle", "room", "air_changes", "hands", "currency",
	"charger_price", "price", "from",
}

// rankOf gives where a key stands in an entry; one that is not listed stands
// before the sources.
func rankOf(key string) int {
	if i := slices.Index(keyOrder, key); i >= 0 {
		return i
	}
	return len(keyOrder) - 2
}

var (
	saidKey = regexp.MustCompile(`^([a-z_]+)(?:\.(?:min|target|max))?: `)
	lacking = regexp.MustCompile(`: ([a-z_]+)(?:\.(?:min|target|max))? is missing$`)
)

// Key gives the key of the entry that an error is about, and whether it is that
// the key is missing; no key when it is about none or about several.
func (f *LineError) Key() (key string, missing bool) {
	if m := lacking.FindStringSubmatch(f.Said); m != nil {
		return m[1], true
	}
	if m := saidKey.FindStringSubmatch(f.Said); m != nil && slices.Contains(keyOrder, m[1]) && m[1] != "from" {
		return m[1], false
	}
	if key, _, _ := strings.Cut(strings.TrimSpace(f.Text), ":"); f.Line > 0 && slices.Contains(keyOrder, key) && !strings.HasPrefix(key, "-") {
		return key, false
	}
	return "", false
}
