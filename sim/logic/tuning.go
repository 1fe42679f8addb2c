package logic

import (
	"reflect"
	"strings"
)

// Value is a threshold or time by its key in the file, in SI; it panics where there is
// none of that name.
func (t *Tuning) Value(key string) float64 {
	v := reflect.ValueOf(t).Elem()
	for i := range v.NumField() {
		if name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("yaml"), ","); name == key {
			return v.Field(i).Float()
		}
	}
	panic("logic: no threshold or time is called " + key)
}
