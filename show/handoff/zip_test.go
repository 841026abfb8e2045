package handoff

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

func text(name, body string) File {
	return File{Name: name, Write: func(w io.Writer) error { _, err := io.WriteString(w, body); return err }}
}

func TestZip(t *testing.T) {
	files := []File{text("README.txt", "read me"), text("frames/000001.png", "png"), text("Übersicht é.csv", strings.Repeat("a", 1000))}
	var one, two bytes.Buffer
	if err := errors.Join(WriteZip(&one, "the touch", files), WriteZip(&two, "the touch", files)); err != nil || !bytes.Equal(one.Bytes(), two.Bytes()) {
		t.Fatalf("the same files gave %d and %d bytes, %v", one.Len(), two.Len(), err)
	}
	z, err := zip.NewReader(bytes.NewReader(one.Bytes()), int64(one.Len()))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
		if y := f.Modified.UTC().Year(); y != 1980 {
			t.Errorf("%s is of %v", f.Name, f.Modified)
		}
	}
	if got := strings.Join(names, "|"); got != "the touch/README.txt|the touch/frames/000001.png|the touch/Übersicht é.csv" {
		t.Error(got)
	}
	if z.File[1].Method != zip.Store || z.File[2].CompressedSize64 > 100 {
		t.Error("a picture was pressed again, or a table was not")
	}
	// A second reader.
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Log("SKIPPED: python3 is not here, so no other program reads the zip")
		return
	}
	path := filepath.Join(t.TempDir(), "a.zip")
	if err := os.WriteFile(path, one.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(python, "-c", "import zipfile,sys; z=zipfile.ZipFile(sys.argv[1]); print(z.testzip(), len(z.read('the touch/Übersicht é.csv')))", path).CombinedOutput()
	if err != nil || strings.TrimSpace(string(out)) != "None 1000" {
		t.Errorf("%s %v", out, err)
	}
}

func TestZipRefuses(t *testing.T) {
	for _, name := range []string{"", "../a", "/a", "a/../../b", `a\b`, "a//b", "a\x00"} {
		var e *Error
		var b bytes.Buffer
		if err := WriteZip(&b, "x", []File{text("ok", ""), text(name, "")}); !errors.As(err, &e) || e.Index != 1 || b.Len() > 0 {
			t.Errorf("%q: %v, %d bytes", name, err, b.Len())
		}
	}
	if err := WriteZip(io.Discard, "", []File{text("a", ""), text("a", "")}); err == nil || !strings.Contains(err.Error(), "another file has its name") {
		t.Error(err)
	}
	gone := errors.New("the disk is gone")
	if err := WriteZip(io.Discard, "", []File{{Name: "a", Write: func(io.Writer) error { return gone }}}); !errors.Is(err, gone) || !strings.HasPrefix(err.Error(), "a: ") {
		t.Error(err)
	}
}

// The numbers as JSON are what their schema says, and those of the table.
func TestNumbersJSON(t *testing.T) {
	var b, s bytes.Buffer
	if err := errors.Join(WriteNumbersJSON(&b, someNumbers), WriteNumbersJSONSchema(&s)); err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	doc, err := jsonschema.UnmarshalJSON(&s)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.AddResource("numbers", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("numbers")
	if err != nil {
		t.Fatal(err)
	}
	valid := func(raw []byte) error {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
		if err != nil {
			return err
		}
		return schema.Validate(doc)
	}
	if err := valid(b.Bytes()); err != nil {
		t.Error(err)
	}
	if err := valid(bytes.Replace(b.Bytes(), []byte(`"unit"`), []byte(`"units"`), 1)); err == nil {
		t.Error("the schema takes a file without a unit")
	}
	var back struct {
		Numbers []struct {
			Name      string
			Value, Hi float64
			Unit      string
			Frame     *int
		}
	}
	if err := json.Unmarshal(b.Bytes(), &back); err != nil || len(back.Numbers) != len(someNumbers) {
		t.Fatal(err, len(back.Numbers))
	}
	for i, n := range someNumbers {
		got := back.Numbers[i]
		if got.Name != n.Name || got.Value != n.Value || got.Hi != n.Hi || got.Unit != n.Unit || (got.Frame != nil) != (n.Take != "") {
			t.Errorf("%+v became %+v", n, got)
		}
	}
	var e *Error
	if err := WriteNumbersJSON(io.Discard, []Number{{Name: "x"}}); !errors.As(err, &e) {
		t.Errorf("a number without a unit: %v", err)
	}
}
