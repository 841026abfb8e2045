package web

import (
	"bytes"
	"encoding/json"
	"flag"
	"net/http"
	"os"
	"testing"

	"github.com/danielgtaylor/huma/v2/adapters/humago"
)

var update = flag.Bool("update", false, "write openapi.json anew")

// TestTheInterfaceIsWrittenDown: openapi.json, from which the client in the
// browser is generated, is what the handlers are.
func TestTheInterfaceIsWrittenDown(t *testing.T) {
	api := humago.New(http.NewServeMux(), apiConfig())
	(&Server{}).routes(api)
	raw, err := json.Marshal(api.OpenAPI())
	if err != nil {
		t.Fatal(err)
	}
	var got bytes.Buffer
	if err := json.Indent(&got, raw, "", " "); err != nil {
		t.Fatal(err)
	}
	got.WriteByte('\n')
	if *update {
		if err := os.WriteFile("openapi.json", got.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("openapi.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.Bytes(), want) {
		t.Error("openapi.json is not what the handlers are: run go test ./web -run Interface -update, then npm run api in web/ui")
	}
}
