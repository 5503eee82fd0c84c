package book

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
)

// What a form shows of an entry is one text for each key: a figure with limits
// as "60 s, 2 min, 5 min" (least, target, most), a list with commas.

// Values gives an entry's keys as texts to show in a form; where its figures
// come from is left out.
func Values(entry string) (map[string]string, error) {
	m, err := entryMap(entry)
	if err != nil {
		return nil, err
	}
	values := map[string]string{}
	for _, item := range m {
		if key := fmt.Sprint(item.Key); key != "from" {
			values[key] = plainValue(item.Value)
		}
	}
	return values, nil
}

// Rewrite gives an entry with some of its keys set anew; an empty text takes
// the key out. A figure that changes has source as the publication it stands
// in: who set it, and when; or it is an Estimate. An entry of nothing is a new
// one.
func Rewrite(entry string, values map[string]string, source string) (string, error) {
	m, err := entryMap(entry)
	if err != nil {
		return "", err
	}
	var changed []string
	for _, key := range slices.Sorted(maps.Keys(values)) {
		value := strings.TrimSpace(values[key])
		i := indexOf(m, key)
		switch {
		case i < 0 && value == "", i >= 0 && plainValue(m[i].Value) == value:
			continue
		case value == "":
			m = slices.Delete(m, i, i+1)
		case i < 0:
			m = insert(m, key, shaped(key, value))
		default:
			m[i].Value = shaped(key, value)
		}
		changed = append(changed, key)
	}
	return marshal(resource(m, changed, values, source))
}

func entryMap(entry string) (yaml.MapSlice, error) {
	var m yaml.MapSlice
	if err := yaml.UnmarshalWithOptions([]byte(entry), &m, yaml.UseOrderedMap()); err != nil {
		return nil, fmt.Errorf("read entry: %w", faultOf(err, []byte(entry)))
	}
	return m, nil
}

func marshal(m yaml.MapSlice) (string, error) {
	out, err := yaml.MarshalWithOptions(m, yaml.IndentSequence(true))
	if err != nil {
		return "", fmt.Errorf("write entry: %w", err)
	}
	return string(out), nil
}

// insert adds a key before the first one that stands after it in an entry.
func insert(m yaml.MapSlice, key string, value any) yaml.MapSlice {
	at := slices.IndexFunc(m, func(item yaml.MapItem) bool { return rankOf(fmt.Sprint(item.Key)) > rankOf(key) })
	if at < 0 {
		at = len(m)
	}
	return slices.Insert(m, at, yaml.MapItem{Key: key, Value: value})
}

func indexOf(m yaml.MapSlice, key string) int {
	return slices.IndexFunc(m, func(item yaml.MapItem) bool { return item.Key == key })
}

// plainValue gives a value as one text.
func plainValue(v any) string {
	var parts []string
	switch v := v.(type) {
	case yaml.MapSlice:
		for _, key := range limitKeys {
			if i := indexOf(v, key); i >= 0 {
				parts = append(parts, fmt.Sprint(v[i].Value))
			}
		}
	case []any:
		for _, item := range v {
			parts = append(parts, fmt.Sprint(item))
		}
	default:
		return fmt.Sprint(v)
	}
	return strings.Join(parts, ", ")
}

var (
	limitKeys = []string{"min", "target", "max"}
	// limited and listed are the keys that are more than one plain value.
	limited = []string{"temp", "rest", "ratio"}
	listed  = []string{"aliases", "allergens", "kinds"}
	// unsourced are the keys that are words, not figures; they have no source.
	unsourced = []string{
		"name", "tag", "aliases", "solid", "base", "prep", "choose", "use", "strain_first", "gentle", "storage", "allergens",
		"clear_with", "vent", "product", "sign_off", "override_by", "override_document", "line_holds_solids", "insulated", "material", "head", "nut_free", "family",
		"foams", "kind", "dry", "allium", "mushroom", "dried_vegetable", "powder", "irritant", "refused",
		"language", "zone", "country", "state", "licensed", "currency",
	}
)

// shaped gives a text back the shape that its key has in the file.
func shaped(key, text string) any {
	parts := strings.Split(text, ",")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	switch {
	case slices.Contains(limited, key) && len(parts) == len(limitKeys):
		m := yaml.MapSlice{}
		for i, limit := range limitKeys {
			m = append(m, yaml.MapItem{Key: limit, Value: parts[i]})
		}
		return m
	case slices.Contains(listed, key):
		return parts
	case text == "true", text == "false":
		return text == "true"
	}
	return text
}

// resource has every changed figure come from source, and no figure that is
// gone come from anywhere.
func resource(m yaml.MapSlice, changed []string, values map[string]string, source string) yaml.MapSlice {
	at := indexOf(m, "from")
	from := yaml.MapSlice{}
	if at >= 0 {
		from, _ = m[at].Value.(yaml.MapSlice)
	}
	from = without(from, changed)
	var figures []any
	for _, key := range changed {
		if strings.TrimSpace(values[key]) != "" && !slices.Contains(unsourced, key) {
			figures = append(figures, key)
		}
	}
	switch {
	case len(figures) > 0 && source == string(Estimate):
		from = under(from, source, figures)
	case len(figures) > 0:
		from = published(from, source, figures)
	}
	switch {
	case at >= 0 && len(from) == 0:
		return slices.Delete(m, at, at+1)
	case at >= 0:
		m[at].Value = from
	case len(from) > 0:
		m = append(m, yaml.MapItem{Key: "from", Value: from})
	}
	return m
}

// without takes figures out of every source, and sources that are left with
// none.
func without(from yaml.MapSlice, figures []string) yaml.MapSlice {
	var left yaml.MapSlice
	for _, item := range from {
		switch v := item.Value.(type) {
		case []any:
			v = slices.DeleteFunc(v, func(key any) bool { return slices.Contains(figures, fmt.Sprint(key)) })
			if item.Value = v; len(v) == 0 {
				continue
			}
		case yaml.MapSlice:
			v = without(v, figures)
			if item.Value = v; len(v) == 0 {
				continue
			}
		}
		left = append(left, item)
	}
	return left
}

// published adds figures to those that stand in a publication.
func published(from yaml.MapSlice, source string, figures []any) yaml.MapSlice {
	at := indexOf(from, "published")
	if at < 0 {
		return append(from, yaml.MapItem{Key: "published", Value: yaml.MapSlice{{Key: source, Value: figures}}})
	}
	all, _ := from[at].Value.(yaml.MapSlice)
	from[at].Value = under(all, source, figures)
	return from
}

// under adds figures to the list that stands under a source.
func under(all yaml.MapSlice, source string, figures []any) yaml.MapSlice {
	i := indexOf(all, source)
	if i < 0 {
		return append(all, yaml.MapItem{Key: source, Value: figures})
	}
	known, _ := all[i].Value.([]any)
	all[i].Value = append(known, figures...)
	return all
}
