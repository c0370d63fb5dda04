//go:build js && wasm

// Command engine answers the questions of package reckon in a browser.
package main

import (
	"syscall/js"

	"firnhand/internal/hill/reckon"
)

func main() {
	js.Global().Set("firnhandEngine", js.FuncOf(func(_ js.Value, args []js.Value) any {
		if len(args) != 2 {
			return `{"error":"two arguments are wanted"}`
		}
		return string(reckon.Answer(args[0].String(), []byte(args[1].String())))
	}))
	select {}
}
