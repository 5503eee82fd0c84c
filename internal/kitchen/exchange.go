package kitchen

import (
	"reflect"
	"slices"
)

// Whoever is forgotten may stand in any field of a kitchen or a batch, those that
// are still to come included. So the fields are gone through, whatever they are,
// and no list of them can fall short.

var (
	personType = reflect.TypeFor[Person]()
	teamType   = reflect.TypeFor[Team]() // as configured: it is not the kitchen's
)

// exchange puts a token in the place of a person, known by their id, wherever they
// stand in v. It takes them out of lists of people and of ids. It says whether
// there was anything to do.
func exchange(v reflect.Value, token string, is func(id string) bool) bool {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		return !v.IsNil() && exchange(v.Elem(), token, is)
	case reflect.Struct:
		return exchangeStruct(v, token, is)
	case reflect.Slice:
		return exchangeSlice(v, token, is)
	case reflect.Map:
		return exchangeMap(v, token, is)
	case reflect.String:
		id, direct := v.String(), ""
		if len(id) > 1 && id[0] == '@' {
			id, direct = id[1:], "@"
		}
		if !v.CanSet() || !is(id) {
			return false
		}
		v.SetString(direct + token)
		return true
	}
	return false
}

func exchangeStruct(v reflect.Value, token string, is func(string) bool) (changed bool) {
	switch v.Type() {
	case teamType:
		return false
	case personType:
		if !is(v.Interface().(Person).ID) {
			return false
		}
		v.Set(reflect.ValueOf(Person{ID: token, Name: token}))
		return true
	}
	for i := range v.NumField() {
		if v.Type().Field(i).IsExported() {
			changed = exchange(v.Field(i), token, is) || changed
		}
	}
	return changed
}

func exchangeSlice(v reflect.Value, token string, is func(string) bool) (changed bool) {
	switch list := v.Interface().(type) {
	case []byte:
		return false
	case []string:
		rest := slices.DeleteFunc(slices.Clone(list), is)
		if len(rest) == len(list) {
			return false
		}
		v.Set(reflect.ValueOf(rest).Convert(v.Type()))
		return true
	case []Person:
		rest := slices.DeleteFunc(slices.Clone(list), func(p Person) bool { return is(p.ID) })
		if len(rest) == len(list) {
			return false
		}
		v.Set(reflect.ValueOf(rest))
		return true
	}
	for i := range v.Len() {
		changed = exchange(v.Index(i), token, is) || changed
	}
	return changed
}

func exchangeMap(v reflect.Value, token string, is func(string) bool) (changed bool) {
	for _, key := range v.MapKeys() {
		value := reflect.New(v.Type().Elem()).Elem()
		value.Set(v.MapIndex(key))
		did := exchange(value, token, is)
		if name := reflect.New(v.Type().Key()).Elem(); key.Kind() == reflect.String {
			name.Set(key)
			if exchange(name, token, is) {
				v.SetMapIndex(key, reflect.Value{})
				key, did = name, true
			}
		}
		if did {
			v.SetMapIndex(key, value)
			changed = true
		}
	}
	return changed
}

// gather calls do with every person who stands in v.
func gather(v reflect.Value, do func(Person)) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			gather(v.Elem(), do)
		}
	case reflect.Struct:
		if p, is := v.Interface().(Person); is {
			if p.ID != "" {
				do(p)
			}
			return
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				gather(v.Field(i), do)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			gather(v.Index(i), do)
		}
	case reflect.Map:
		for each := v.MapRange(); each.Next(); {
			gather(each.Value(), do)
		}
	}
}
