package strict

import (
	"reflect"
)

// Schema is the JSON Schema (draft 2020-12) of the files that Read takes for the type of v, as
// a value that encoding/json writes. What it accepts Read accepts, but for rules that hang on
// more than one field.
func Schema(title string, v any, words Words) map[string]any {
	s := shape(reflect.TypeOf(v), rule{}, rule{}, rule{}, words)
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = title
	return s
}

func shape(t reflect.Type, want, items, keys rule, words Words) map[string]any {
	switch t.Kind() {
	case reflect.Pointer:
		return shape(t.Elem(), want, items, keys, words)
	case reflect.Struct:
		properties, required := map[string]any{}, []string{}
		for _, f := range fieldsOf(t) {
			s := shape(t.Field(f.at).Type, f.want, f.items, f.keys, words)
			if f.doc != "" {
				s["description"] = f.doc
			}
			properties[f.name] = s
			if f.want.required {
				required = append(required, f.name)
			}
		}
		s := map[string]any{"type": "object", "properties": properties, "required": required, "additionalProperties": false}
		var all []any
		for _, group := range groupsOf(fieldsOf(t)) {
			var one []any
			for _, name := range group {
				one = append(one, map[string]any{"required": []string{name}})
			}
			all = append(all, map[string]any{"oneOf": one})
		}
		if all != nil {
			s["allOf"] = all
		}
		return s
	case reflect.Slice:
		s := map[string]any{"type": "array", "items": shape(t.Elem(), want, rule{}, rule{}, words)}
		between(s, items, "minItems", "maxItems")
		return s
	case reflect.Map:
		s := map[string]any{"type": "object", "additionalProperties": shape(t.Elem(), want, rule{}, rule{}, words)}
		if k := text(keys, words); len(k) > 0 {
			s["propertyNames"] = k
		}
		between(s, items, "minProperties", "maxProperties")
		return s
	case reflect.String:
		s := text(want, words)
		s["type"] = "string"
		return s
	case reflect.Int, reflect.Float64:
		s := map[string]any{"type": map[bool]string{true: "integer", false: "number"}[t.Kind() == reflect.Int]}
		between(s, want, "minimum", "maximum")
		return s
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	default:
		panic("strict: no field can be a " + t.Kind().String())
	}
}

func text(want rule, words Words) map[string]any {
	s := map[string]any{}
	if among := want.words; want.of != "" || among != nil {
		if want.of != "" {
			among = words[want.of]
		}
		s["enum"] = among
	}
	if want.like != nil {
		s["pattern"] = want.like.String()
	}
	between(s, want, "minLength", "maxLength")
	return s
}

func between(s map[string]any, r rule, low, high string) {
	if r.low != nil {
		s[low] = *r.low
	}
	if r.high != nil {
		s[high] = *r.high
	}
}
