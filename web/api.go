package web

import (
	"context"
	"net/http"
	"reflect"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"mesure/sport/mark"
	"mesure/study"
)

// The operations of the interface, one line each; the handlers stand in one file
// per noun. openapi.json is written from here.

// body wraps what a handler answers.
type body[T any] struct{ Body T }

// OfID names a document in the address. It is exported because huma does not look
// into what is not.
type OfID struct {
	ID study.ID `path:"id" maxLength:"200" doc:"The name of the document."`
}

type inID = OfID

type inBase struct {
	OfID
	Body struct {
		Base study.Revision `json:"base" doc:"The revision that the window shows."`
	}
}

type inNewBout struct {
	Body struct {
		Sheet study.BoutSheet `json:"sheet"`
	}
}

type inSaveBout struct {
	OfID
	Body struct {
		Base    study.Revision  `json:"base"`
		Gesture string          `json:"gesture" maxLength:"200"`
		Sheet   study.BoutSheet `json:"sheet"`
	}
}

type inDelete struct {
	OfID
	Base study.Revision `query:"base"`
}

type inLine struct {
	OfID
	Line string `path:"line" maxLength:"100"`
}

type inSaveTouch struct {
	OfID
	Body struct {
		Base    study.Revision `json:"base"`
		Gesture string         `json:"gesture" maxLength:"200"`
		Touch   study.Touch    `json:"touch"`
	}
}

type inLive struct {
	OfID
	Body struct {
		Touch study.Touch `json:"touch" doc:"The touch as it stands on the desk, saved or not."`
		// Draws of the race; zero means the default.
		Draws    int      `json:"draws,omitempty"`
		Stave    bool     `json:"stave,omitempty" doc:"Draw the stave."`
		StaveAsk StaveAsk `json:"stave_ask,omitempty" doc:"How the stave is wanted."`
		Race     bool     `json:"race,omitempty" doc:"Draw the race."`
		Night    bool     `json:"night,omitempty" doc:"Draw for a dark page."`
		Phone    bool     `json:"phone,omitempty" doc:"Draw the stave for a narrow screen; the race always is."`
		// Following asks for what was followed.
		Following *FollowingAsk `json:"following,omitempty" doc:"Answer with what was followed, too."`
	}
}

// FollowingAsk says what of a following is wanted.
type FollowingAsk struct {
	Take string    `json:"take,omitempty" doc:"The take whose traces are wanted; empty wants none."`
	Who  mark.Side `json:"who,omitempty"`
	What mark.What `json:"what,omitempty" doc:"The point whose movement is drawn; empty draws none."`
}

type inFollow struct {
	OfID
	Body struct {
		Touch study.Touch `json:"touch" doc:"The touch as it stands on the desk, saved or not."`
		Takes []string    `json:"takes,omitempty" doc:"The takes to follow; empty follows all."`
	}
}

type inSHA struct {
	SHA256 string `path:"sha256" pattern:"^[0-9a-f]{64}$"`
}

// inFilm is a video as it is read: whole frames, or two fields a frame.
type inFilm struct {
	SHA256 string `path:"sha256" pattern:"^[0-9a-f]{64}$"`
	Fields bool   `query:"fields" doc:"Two frames for each of the file: the fields of interlaced video."`
}

type inImport struct {
	Body struct {
		Path string   `json:"path" maxLength:"4096" doc:"A file on the machine that Mesure runs on."`
		Bout study.ID `json:"bout,omitempty" doc:"The bout that the video belongs to; empty makes a new one."`
	}
}

type inJob struct {
	ID string `path:"id" maxLength:"100"`
}

// routes registers every operation. Uploads, video files, frames, pictures,
// downloads and the stream of events are plain handlers: see plainRoutes.
func (s *Server) routes(api huma.API) {
	get := func(id, path, about string) huma.Operation {
		return huma.Operation{OperationID: id, Method: http.MethodGet, Path: "/api" + path, Summary: about}
	}
	put := func(id, path, about string) huma.Operation {
		return huma.Operation{OperationID: id, Method: http.MethodPut, Path: "/api" + path, Summary: about, MaxBodyBytes: bodyLimit}
	}
	post := func(id, path, about string) huma.Operation {
		return huma.Operation{OperationID: id, Method: http.MethodPost, Path: "/api" + path, Summary: about, MaxBodyBytes: bodyLimit}
	}
	remove := func(id, path, about string) huma.Operation {
		return huma.Operation{OperationID: id, Method: http.MethodDelete, Path: "/api" + path, Summary: about}
	}

	register(s, api, get("salle", "/salle", "The library at a glance"), s.salle)
	register(s, api, get("trade", "/trade", "Names, places and words of the sport"), s.trade)

	register(s, api, get("words", "/words", "Words of the trade and the coach's own that begin as typed"), s.findWords)
	register(s, api, post("keep-word", "/bouts/{id}/words", "Keep a word as the coach's own, as one step of the bout"), s.keepWord)
	register(s, api, post("to-sheet", "/touches/{id}/sheet", "Write what the stave says to the line of the sheet, as one step of the bout"), s.toSheet)

	register(s, api, post("sheet-preview", "/sheets", "What would be taken of a score sheet; nothing is written"), s.sheetPreview)
	register(s, api, post("add-bout", "/bouts", "Make a bout"), s.addBout)
	register(s, api, get("bout", "/bouts/{id}", "One bout"), s.bout)
	register(s, api, put("save-bout", "/bouts/{id}", "Save a bout, as one step"), s.saveBout)
	register(s, api, remove("delete-bout", "/bouts/{id}", "Remove a bout and its touches"), s.deleteBout)
	register(s, api, post("undo-bout", "/bouts/{id}/undo", "Step back"), s.undoBout)
	register(s, api, post("redo-bout", "/bouts/{id}/redo", "Step forward"), s.redoBout)
	register(s, api, post("take-apart", "/bouts/{id}/lines/{line}/touch", "The touch of a line of the sheet, made where there is none"), s.takeApart)

	register(s, api, get("tactics", "/bouts/{id}/tactics", "What the earlier touches and the score make of one touch: its thread, habits, what each choice was worth, what next"), s.tactics)

	register(s, api, get("touch", "/touches/{id}", "One touch"), s.touch)
	register(s, api, put("save-touch", "/touches/{id}", "Save a touch, as one step"), s.saveTouch)
	register(s, api, post("undo-touch", "/touches/{id}/undo", "Step back"), s.undoTouch)
	register(s, api, post("redo-touch", "/touches/{id}/redo", "Step forward"), s.redoTouch)
	register(s, api, remove("delete-touch", "/touches/{id}", "Remove a touch"), s.deleteTouch)
	register(s, api, post("live", "/touches/{id}/reading", "Read a touch as it stands on the desk; nothing is saved"), s.live)
	register(s, api, post("timing", "/touches/{id}/timing", "Who would be first from one frame, what is open and why; nothing is saved"), s.timing)
	register(s, api, post("follow", "/touches/{id}/follow", "Follow camera and points through the takes, as they stand on the desk"), s.follow)
	register(s, api, get("breakdown", "/touches/{id}/breakdown", "What can be shown and downloaded"), s.breakdown)

	register(s, api, get("telling", "/touches/{id}/telling", "How a touch is told: script, storyboard and options, bound to what is measured now; drafted where nothing was kept"), s.telling)
	register(s, api, put("save-telling", "/touches/{id}/telling", "Save how a touch is told, as one step"), s.saveTelling)
	register(s, api, post("undo-telling", "/touches/{id}/telling/undo", "Step back"), s.undoTelling)
	register(s, api, post("redo-telling", "/touches/{id}/telling/redo", "Step forward"), s.redoTelling)
	register(s, api, get("beside", "/touches/{id}/beside", "Takes of other touches that a shot can play beside one of this"), s.takesBeside)
	register(s, api, post("make", "/touches/{id}/make", "Make the clip, or the files for another editor"), s.makeIt)

	register(s, api, post("import", "/imports", "Copy a video from this machine into the library"), s.importPath)
	register(s, api, post("demo", "/demo", "Put the invented bout into the library"), s.addDemo)
	register(s, api, get("jobs", "/jobs", "Work that goes on"), s.listJobs)
	register(s, api, remove("cancel-job", "/jobs/{id}", "Cancel work"), s.cancelJob)
	register(s, api, get("media", "/media/{sha256}", "One video"), s.mediaInfo)
	register(s, api, remove("remove-media", "/media/{sha256}", "Remove a video that no bout and no touch names"), s.removeMedia)
	register(s, api, get("times", "/media/{sha256}/times", "The time stamp of every frame"), s.times)
}

// register adds an operation; its errors go through the one table of errors.
func register[I, O any](s *Server, api huma.API, op huma.Operation, handle func(context.Context, *I) (*O, error)) {
	huma.Register(api, op, func(ctx context.Context, in *I) (*O, error) {
		out, err := handle(ctx, in)
		return out, s.problem(err)
	})
}

// bodyLimit bounds what is sent: a touch with ten thousand marks is below 2 MB.
const bodyLimit = 8 << 20

// none is an answer without content.
type none struct{}

// apiConfig describes the interface.
func apiConfig() huma.Config {
	c := huma.DefaultConfig("Mesure", "1")
	c.OpenAPIPath, c.DocsPath, c.SchemasPath = "", "", ""
	c.CreateHooks = nil // no $schema in answers
	schemas := huma.NewMapRegistry("#/components/schemas/", nameOf)
	schemas.RegisterTypeAlias(reflect.TypeFor[mark.Side](), reflect.TypeFor[sideWord]())
	c.Components.Schemas = schemas
	return c
}

// init settles that a list is a list: never null, in neither direction.
func init() { huma.DefaultArrayNullable = false }

// sideWord is mark.Side as the interface describes it.
type sideWord string

// Schema lists the two words.
func (sideWord) Schema(huma.Registry) *huma.Schema {
	return &huma.Schema{Type: huma.TypeString, Enum: []any{mark.Left.String(), mark.Right.String()}}
}

// nameOf names a type in the interface. What show printed is kept apart from what
// it was printed from: a PrintedPlacing is not a Placing.
func nameOf(t reflect.Type, hint string) string {
	name := huma.DefaultSchemaNamer(t, hint)
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	room := func(path string) bool { return strings.HasSuffix(t.PkgPath(), path) }
	switch {
	case room("/show/summary") && name != "Summary":
		return "Printed" + name
	case room("/show/script") && name != "Script":
		return "Script" + name
	case room("/show/clip"):
		return "Clip" + name
	case room("/show/tell") && name != "Telling":
		return "Telling" + name
	}
	return name
}
