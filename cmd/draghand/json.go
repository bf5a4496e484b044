package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"strconv"
)

// printJSON writes a value as JSON, indented. JSON has no word for what is no number
// (infinite, or none at all): such a figure is written as null, not known, and takes
// nothing else away.
func printJSON(out interface{ Write([]byte) (int, error) }, v any) error {
	text, err := indented(v)
	var no *json.UnsupportedValueError
	if errors.As(err, &no) {
		odd := oddFigure()
		copied := reflect.New(reflect.TypeFor[any]()).Elem()
		copied.Set(reflect.ValueOf(v))
		text, err = indented(withoutOdd(copied, 0).Interface())
		text = bytes.ReplaceAll(text, odd, []byte("null"))
	}
	if err != nil {
		return err
	}
	_, err = out.Write(text)
	return err
}

func indented(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	err := e.Encode(v)
	return b.Bytes(), err
}

// odd stands in a value to be written for what is no number, until null can be put in
// its place: a figure that nothing measured or reckoned comes near.
const odd = -1.7976931348623e+308

func oddFigure() []byte { return strconv.AppendFloat(nil, odd, 'e', -1, 64) }

// mostDeep bounds how deep a value is looked into.
const mostDeep = 100

// withoutOdd is a copy of a value with odd in the place of what is no number. The value
// itself stays as it is.
func withoutOdd(v reflect.Value, depth int) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	if depth > mostDeep {
		return out
	}
	switch v.Kind() {
	case reflect.Float32, reflect.Float64:
		if f := v.Float(); (math.IsInf(f, 0) || math.IsNaN(f)) && v.Kind() == reflect.Float64 {
			out.SetFloat(odd)
		}
	case reflect.Interface:
		if !v.IsNil() {
			out.Set(withoutOdd(v.Elem(), depth+1))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(withoutOdd(v.Elem(), depth+1))
		}
	case reflect.Slice:
		if !v.IsNil() {
			out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		}
		fallthrough
	case reflect.Array:
		for i := range v.Len() {
			out.Index(i).Set(withoutOdd(v.Index(i), depth+1))
		}
	case reflect.Map:
		if !v.IsNil() {
			out.Set(reflect.MakeMapWithSize(v.Type(), v.Len()))
		}
		for _, k := range v.MapKeys() {
			out.SetMapIndex(k, withoutOdd(v.MapIndex(k), depth+1))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if out.Field(i).CanSet() { // else it is hidden, and not written
				out.Field(i).Set(withoutOdd(v.Field(i), depth+1))
			}
		}
	}
	return out
}
