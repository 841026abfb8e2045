# Mesure. `make demo` runs the main job, `make test` runs every test.
# Both need Go; what else they need they install (as root on Debian) or name.

GO        ?= go
OUT       ?= out/demo
PORT      ?= 8420
# A burst for each fuzz target, after its seeds; and how many files of tests of the
# desk run side by side. make test-deep asks for more.
FUZZTIME  ?= 500ms
DESKJOBS  ?= 2
# One way to compile for all: without this the program and its tests are built apart.
export GOFLAGS := $(GOFLAGS) -trimpath
BIN       := bin/mesure
STATIC    := honnef.co/go/tools/cmd/staticcheck@v0.8.1
SOURCES   := $(shell find . -name '*.go' -not -path './.*' 2>/dev/null) go.mod go.sum

# The desk in the browser: built with Node where there is one, else left out.
UI        := web/ui
UISOURCES := $(shell find $(UI)/src $(UI)/index.html $(UI)/*.ts $(UI)/*.js -type f 2>/dev/null) $(UI)/package.json
PARTS     := $(UI)/node_modules/.package-lock.json

.PHONY: build demo open test test-deep check quick desk race fuzz bench golden picture clean help

help:            ## what can be made
	@grep -hE '^[a-z]+: .*##|^[a-z]+:  *##' Makefile | sed -E 's/:.*##/ –/'

build: $(BIN)    ## writes bin/mesure (no C compiler needed)

$(BIN): $(SOURCES) $(UI)/dist/index.html
	@.ci/need go=golang-go
	CGO_ENABLED=0 $(GO) build -trimpath -ldflags='-s -w' -o $@ ./cmd/mesure

$(UI)/dist/index.html: $(UISOURCES) $(PARTS)
	@if command -v npm >/dev/null; then cd $(UI) && npm run --silent build -- --logLevel warn; \
	else echo "no npm here: the program is built without the desk; everything on the command line works"; fi

$(PARTS): $(UI)/package-lock.json
	@if command -v npm >/dev/null; then cd $(UI) && npm ci --silent --no-progress; fi

demo: $(BIN)     ## renders the invented bout, reads it and writes the breakdown of one touch
	$(BIN) demo --out $(OUT)

open: $(BIN)     ## opens the desk on this machine
	$(BIN) open --addr 127.0.0.1:$(PORT)

test: check quick desk race fuzz ## every test, the quick ones first

test-deep:       ## the same, with long walks through frames, long fuzzing, and the race detector on every room
	MESURE_DEEP=1 $(MAKE) test FUZZTIME=10s RACY=./... COUNTING=

check:           ## formatting, vet, staticcheck, licences
	@.ci/need go=golang-go
	@bad=$$(gofmt -l $$(git ls-files '*.go')); if [ -n "$$bad" ]; then echo "not formatted (run gofmt -w): $$bad" >&2; exit 1; fi
	@CGO_ENABLED=0 $(GO) vet ./...
	@CGO_ENABLED=0 $(GO) run $(STATIC) ./...
	@CGO_ENABLED=0 $(GO) test -count=1 -run 'Licen|Law|Package|Sitting|RaceTier' .

quick: tools     ## the tests, without the race detector
	CGO_ENABLED=0 $(GO) test -timeout 20m ./...

desk: $(BIN)     ## the desk: types, interface, state, and the whole path in a real browser
	@.ci/need npm=npm chromium=chromium ffmpeg=ffmpeg
	cd $(UI) && npm run --silent check
	cd $(UI) && npx openapi-typescript ../openapi.json -o $(abspath $(UI))/node_modules/.schema.d.ts >/dev/null && \
	  { cmp -s node_modules/.schema.d.ts src/api/schema.d.ts || { echo "src/api/schema.d.ts is not what openapi.json says: npm run api" >&2; exit 1; }; }
	cd $(UI) && npx vitest run --reporter=dot
	cd $(UI) && MESURE=$(abspath $(BIN)) node e2e/prepare.mjs
	cd $(UI) && MESURE=$(abspath $(BIN)) node --test --test-timeout=900000 --test-concurrency=$(DESKJOBS) --test-reporter=spec e2e/*.test.mjs

race: tools      ## the rooms that run things side by side, under the race detector
	@.ci/need gcc=gcc /usr/include/stdio.h=libc6-dev
	CGO_ENABLED=1 $(GO) test -race -short -timeout 20m $(RACY)
	[ -z "$(COUNTING)" ] || CGO_ENABLED=1 $(GO) test -race -short -timeout 20m -run SideBySide $(COUNTING)

# A test holds these lists: who starts a goroutine or holds a lock is in one of them, and
# nobody else. In those that count and draw, tests named SideBySide do what they do at the
# same time; the detector makes all others several times slower and could find nothing.
RACY     := ./show/clip ./store/sqlite ./store/storetest ./video ./web
COUNTING := ./measure/track ./timing ./study ./show/draw ./show/report ./demo ./demo/picture ./cmd/mesure

fuzz:            ## every fuzz target, briefly
	@.ci/fuzz $(FUZZTIME)

tools:
	@.ci/need ffmpeg=ffmpeg ffprobe=ffmpeg xmllint=libxml2-utils rsvg-convert=librsvg2-bin qpdf=qpdf pngcheck=pngcheck pdftoppm=poppler-utils /usr/share/xml/w3c-sgml-lib=w3c-sgml-lib

.PHONY: tools

bench: $(BIN)    ## what is measured, side by side in one run
	@.ci/need ffmpeg=ffmpeg /usr/lib/python3/dist-packages/numpy=python3-numpy npm=npm chromium=chromium
	$(GO) run ./cmd/bench
	@cd $(UI) && MESURE=$(abspath $(BIN)) node e2e/bench.mjs

golden:          ## redraws the golden plates; look at the difference before you commit
	CGO_ENABLED=0 $(GO) test ./show/... -update

picture: $(BIN)  ## redraws the pictures of the README: a plate of the demo, and the desk as its tests left it
	@.ci/need ffmpeg=ffmpeg
	$(BIN) demo --touch 1 --out out/picture >/dev/null
	ffmpeg -nostdin -v error -y -i out/picture/plates/gaps-live-0051.png -vf scale=1100:-1:flags=lanczos -q:v 4 doc/picture.jpg
	[ ! -e out/desk/followed-large-light.png ] || ffmpeg -nostdin -v error -y -i out/desk/followed-large-light.png -vf scale=1440:-1:flags=lanczos -q:v 4 doc/desk.jpg

clean:           ## removes what was built
	rm -rf bin out $(UI)/dist/assets $(UI)/dist/index.html $(UI)/node_modules
