# Poise: `make demo` shows the main job with nothing attached, `make test` proves it. Both install what they need.
# `make help` lists the rest. BUILD names the build folder, CC the compiler, SANITIZE the sanitizers (address,undefined).
# Distributors' variables mean what they always mean: CC CPPFLAGS CFLAGS LDFLAGS LDLIBS PKG_CONFIG PREFIX DESTDIR.
# WERROR=-Werror makes each warning an error; `make lint` and .ci/run do so, nobody else's build does.

# Looking through rules that are built in for each of 1,500 files took nine tenths of a `make -q`; none of them is used.
MAKEFLAGS  += --no-builtin-rules

BUILD      ?= build
PREFIX     ?= /usr/local
CFLAGS     ?= -O2 -g
SANITIZE   ?=
WERROR     ?=
PKG_CONFIG ?= pkg-config
JOBS       ?= $(shell nproc)
INSTALL    ?= install

WARN      := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion
ALLFLAGS   = -std=c17 -D_GNU_SOURCE -Idaemon -I. $(WARN) $(WERROR) -fno-omit-frame-pointer -fno-plt \
             -fstack-protector-strong $(if $(SANITIZE),-fsanitize=$(SANITIZE) -fno-sanitize-recover=all,-D_FORTIFY_SOURCE=2) \
             $(CPPFLAGS) $(CFLAGS)
# Tables hold many pointers; packed, what a loader must fix takes a tenth of the room in the file, and in memory.
LDALL      = $(if $(SANITIZE),-fsanitize=$(SANITIZE)) -Wl,-z,relro,-z,now,-z,pack-relative-relocs -pthread $(LDFLAGS)

# ---- the parts: one archive a folder; what each may include is in tools/arrows.sh ----
SRC_text      := $(wildcard text/*.c)
SRC_mix       := $(wildcard daemon/mix/*.c)
SRC_solver    := $(filter-out %/poise_solve.c,$(wildcard daemon/solver/*.c))
SRC_shape     := $(wildcard daemon/shape/*.c)
SRC_station   := $(wildcard daemon/station/*.c)
SRC_front     := $(wildcard daemon/front/*.c)
SRC_store     := $(wildcard daemon/store/*.c)
SRC_catalogue := $(wildcard daemon/catalogue/*.c)
SRC_bench     := $(wildcard daemon/bench/*.c)
SRC_rpc       := $(wildcard daemon/rpc/*.c daemon/rpc/methods/*.c)
SRC_http      := $(wildcard daemon/http/*.c)
SRC_print     := $(wildcard daemon/print/*.c)
SRC_draw      := $(filter-out %/main.c %/poise_label.c,$(wildcard daemon/print/draw/*.c))
SRC_base      := $(filter-out daemon/main.c,$(wildcard daemon/*.c))
SRC_decode    := $(wildcard drivers/decode/*.c)
SRC_drivers   := $(wildcard drivers/*.c)
SRC_sim       := $(filter-out %/main.c %/poise_sim.c,$(wildcard drivers/sim/*.c))
SRC_client    := $(filter-out client/poise.c,$(wildcard client/*.c client/screen/*.c))
PARTS := text mix solver shape station front store catalogue bench rpc http print draw base decode drivers sim client

# ---- what is linked: archives, packages by their pkg-config names, and what has no such name ----
LIBS_poised := http rpc bench front station store catalogue shape print drivers decode solver mix base text
LIBS_poise  := client drivers decode text
LIBS_sim    := sim text
LIBS_label  := draw text
PKGS_poised := libuv jansson sqlite3 zlib libsodium libserialport inih
PKGS_poise  := libuv jansson libserialport inih ncursesw tinfo
PKGS_sim    := jansson
PKGS_label  := cairo libqrencode jansson
PACKAGES    := $(sort $(PKGS_poised) $(PKGS_poise) $(PKGS_sim) $(PKGS_label) cmocka)

# The unit tests of an area link these archives, and these packages.
LIBS_of_text      := text
LIBS_of_mix       := mix text
LIBS_of_solver    := solver mix text
LIBS_of_shape     := shape base text
LIBS_of_station   := front station solver mix shape base text
LIBS_of_front     := front station mix shape base text
LIBS_of_store     := store base text
LIBS_of_catalogue := catalogue station store mix shape base drivers decode text
LIBS_of_bench     := $(LIBS_poised)
LIBS_of_rpc       := $(LIBS_poised)
LIBS_of_print     := print base text
LIBS_of_draw      := draw text
LIBS_of_base      := base shape drivers decode text
LIBS_of_drivers   := drivers decode text
LIBS_of_sim       := sim text
LIBS_of_client    := client front station mix shape base drivers decode text
PKGS_of_draw      := $(PKGS_label)
PKGS_of_client    := $(PKGS_poise)
PKGS_default      := $(PKGS_poised)

archives = $(foreach l,$(1),$(BUILD)/lib$(l).a)
objects  = $(patsubst %.c,$(BUILD)/o/%.o,$(1))
libs     = $(foreach p,$(1),$(LIBS_of_package_$(p))) -lunistring -lm $(LDLIBS)

PROGRAMS := $(BUILD)/poised $(BUILD)/poise $(BUILD)/poise-sim $(BUILD)/poise-label $(BUILD)/poise-solve
all: $(PROGRAMS)

# What pkg-config says of each package, asked once; and the flags of the last build, so that other flags build anew.
# Goals that build nothing by themselves, such as `make help` or `make deps`, want neither.
SPEAKING := help deps test demo run lint analyze bench bench-store test-vm test-faults nightly test-page fuzz coverage valgrind clean uninstall
ifneq ($(filter-out $(SPEAKING),$(or $(MAKECMDGOALS),all)),)
include $(BUILD)/packages.mk
FLAGS := $(CC) $(ALLFLAGS) $(LDALL)
ifneq ($(strip $(file <$(BUILD)/flags)),$(strip $(FLAGS)))
$(shell mkdir -p $(BUILD))
$(file >$(BUILD)/flags,$(FLAGS))
endif
endif
$(BUILD)/packages.mk: Makefile
	@mkdir -p $(@D)
	@for p in $(PACKAGES); do \
	    libs=$$($(PKG_CONFIG) --libs $$p) && flags=$$($(PKG_CONFIG) --cflags $$p) || \
	        { echo "make: the package $$p is missing: make deps installs what is needed" >&2; exit 1; }; \
	    echo "LIBS_of_package_$$p := $$libs"; echo "CFLAGS_of_package_$$p := $$flags"; \
	done >$@.part
	@mv $@.part $@

# Only the drawing of labels needs flags of its own; the other packages' headers stand where the compiler looks.
$(BUILD)/o/daemon/print/draw/%.o $(BUILD)/o/tests/unit/draw/%.o: ALLFLAGS += $(foreach p,cairo libqrencode,$(CFLAGS_of_package_$(p)))
$(BUILD)/o/%.o: %.c $(BUILD)/flags
	@mkdir -p $(@D)
	@echo '  CC   $<'
	@$(CC) $(ALLFLAGS) -MMD -MP -c -o $@ $<

# ---- the table of words: words/*.po to one JSON a language, and the same as a const table ----
WORDS := $(BUILD)/words/words_table.c
$(BUILD)/words/make-words: tools/words.c
	@mkdir -p $(@D)
	@$(CC) -std=c17 -D_GNU_SOURCE $(WARN) $(WERROR) -O1 -o $@ $< -lgettextpo -ljansson
$(WORDS): words/en.po words/de.po $(BUILD)/words/make-words
	@echo '  PO   words/en.po words/de.po'
	@$(BUILD)/words/make-words $(BUILD)/words words/en.po words/de.po
$(BUILD)/o/words_table.o: $(WORDS) $(BUILD)/flags
	@mkdir -p $(@D)
	@$(CC) $(ALLFLAGS) -c -o $@ $<

# ---- the page's files and the words, built into poised: one table, each file as it is ----
PAGE_FILES := $(sort $(wildcard client/page/*.* client/page/icons/*))
PAGE := $(BUILD)/page/files.S
$(PAGE): $(PAGE_FILES) $(WORDS) tools/page_files.sh Makefile
	@mkdir -p $(@D)
	@echo '  PAGE client/page'
	@tools/page_files.sh $(BUILD)/words $(PAGE_FILES) >$@.part && mv $@.part $@
$(BUILD)/o/page_files.o: $(PAGE) $(BUILD)/flags
	@mkdir -p $(@D)
	@$(CC) -c -o $@ $<

define part
OBJECTS_$(1) := $(call objects,$(SRC_$(1))) $(if $(filter text,$(1)),$(BUILD)/o/words_table.o) $(if $(filter http,$(1)),$(BUILD)/o/page_files.o)
$(call archives,$(1)): $$(OBJECTS_$(1))
	@rm -f $$@
	@ar rcs $$@ $$^
OBJECTS += $$(OBJECTS_$(1))
endef
$(foreach p,$(PARTS),$(eval $(call part,$(p))))

# $(1) archives, $(2) packages; the object files are the target's first prerequisites
define link
@mkdir -p $(@D)
@echo '  LINK $@'
@$(CC) $(LDALL) -o $@ $(filter %.o,$^) -Wl,--start-group $(filter %.a,$^) -Wl,--end-group $(call libs,$(1))
endef

$(BUILD)/poised: $(BUILD)/o/daemon/main.o $(call archives,$(LIBS_poised))
	$(call link,$(PKGS_poised))
$(BUILD)/poise: $(BUILD)/o/client/poise.o $(call archives,$(LIBS_poise))
	$(call link,$(PKGS_poise))
SIM_MAIN   := $(wildcard drivers/sim/main.c drivers/sim/poise_sim.c)
LABEL_MAIN := $(wildcard daemon/print/draw/main.c daemon/print/draw/poise_label.c)
$(BUILD)/poise-sim: $(call objects,$(SIM_MAIN)) $(call archives,$(LIBS_sim))
	$(call link,$(PKGS_sim))
$(BUILD)/poise-label: $(call objects,$(LABEL_MAIN)) $(call archives,$(LIBS_label))
	$(call link,$(PKGS_label))
$(BUILD)/poise-solve: $(call objects,daemon/solver/poise_solve.c) $(call archives,solver)
	$(call link,)
OBJECTS += $(call objects,daemon/main.c client/poise.c $(SIM_MAIN) $(LABEL_MAIN) daemon/solver/poise_solve.c)

# ---- tests: tests/unit/AREA/test_NAME.c, tests/e2e/test_NAME.c ----
UNIT_SRC := $(wildcard tests/unit/*/test_*.c)
E2E_SRC  := $(wildcard tests/e2e/test_*.c)
UNIT     := $(patsubst %.c,$(BUILD)/%,$(UNIT_SRC))
E2E      := $(patsubst %.c,$(BUILD)/%,$(E2E_SRC))
E2E_HELP := $(call objects,$(filter-out tests/e2e/test_%,$(wildcard tests/e2e/*.c)))
AREAS    := $(sort $(foreach t,$(UNIT_SRC),$(word 3,$(subst /, ,$(t)))))

define unit_area
$(BUILD)/tests/unit/$(1)/%: $(BUILD)/o/tests/unit/$(1)/%.o $(call archives,$(LIBS_of_$(1)))
	$$(call link,cmocka $(or $(PKGS_of_$(1)),$(PKGS_default)))
endef
$(foreach a,$(AREAS),$(eval $(call unit_area,$(a))))
$(BUILD)/tests/e2e/%: $(BUILD)/o/tests/e2e/%.o $(E2E_HELP) $(call archives,text)
	$(call link,cmocka jansson sqlite3) -lutil
# What our answers are held against: oracles, no part of Poise. Neither has flags of its own.
$(BUILD)/tests/unit/mix/test_de00 $(BUILD)/tests/unit/mix/test_kubelka: LDLIBS += -llcms2
$(BUILD)/tests/unit/solver/%: LDLIBS += -lglpk
$(BUILD)/tests/unit/solver/test_solver: | $(BUILD)/poise-solve
TEST_OBJECTS := $(call objects,$(UNIT_SRC) $(wildcard tests/e2e/*.c))
OBJECTS += $(TEST_OBJECTS)
.SECONDARY: $(TEST_OBJECTS)

# Builds every test and runs none.
check-build: $(PROGRAMS) $(UNIT) $(E2E)
check-unit: $(UNIT)
	tests/run.sh $(BUILD) unit $(UNIT)
# A random walk over all acts of a station, longer than the unit test takes it; a fault prints the walk that found it.
# Random shelves against GLPK likewise, and whole days of a shop.
SHELF_TESTS := $(patsubst %,$(BUILD)/tests/unit/solver/test_%,workoff rescue)
walk: $(BUILD)/tests/unit/station/test_acts $(SHELF_TESTS) $(PROGRAMS) $(BUILD)/tests/e2e/test_day_walk
	WALKS=20000 $<
	for shelf in $(SHELF_TESTS); do SHELVES=5000 $$shelf || exit 1; done
	for seed in 1 2 3 4 5 6 7 8 9 10; do POISE_BUILD=$(BUILD) DAYS=200 SEED=$$seed $(BUILD)/tests/e2e/test_day_walk || exit 1; done
# One allocation, write or sync after the other fails, over batches poured and questions asked; a fault names the call
# that failed.
FAULT_TESTS := $(patsubst %,$(BUILD)/tests/e2e/test_%,faults faults_calls disk kill)
check-faults: $(PROGRAMS) $(FAULT_TESTS)
	POINTS=$(or $(POINTS),4000) $(BUILD)/tests/e2e/test_faults
	POINTS=$(or $(POINTS),4000) $(BUILD)/tests/e2e/test_faults_calls
	$(BUILD)/tests/e2e/test_disk
	$(BUILD)/tests/e2e/test_kill
check-e2e: $(PROGRAMS) $(E2E)
	tests/run.sh $(BUILD) e2e $(E2E)
check: $(PROGRAMS) $(UNIT) $(E2E)
	tests/run.sh $(BUILD) all $(UNIT) $(E2E)

# ---- goals that say what they do, install what they need and then build ----
test: deps
	@echo "test: unit and end-to-end tests, then both again under sanitizers: about 12 minutes on 2 cores"
	$(MAKE) -j$(JOBS) check
	$(MAKE) -j$(JOBS) check BUILD=$(BUILD)/sanitized SANITIZE=address,undefined
deps:
	@tools/deps.sh
demo: deps
	@echo "demo: building (about a minute the first time), then a painter's job in about 40 s"
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS)
	@demo/demo.sh $(BUILD)
run: deps
	@echo "run: building (about a minute the first time), then the bench on the screen and as a page; you are the hand"
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS)
	@demo/run.sh $(BUILD)
lint: deps
	@tools/lint.sh
bench: deps
	@echo "bench: speed as ratios, about 5 minutes"
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS) $(BUILD)/bench-tools
	@tests/bench/bench.sh $(BUILD)
test-faults: deps
	@echo "test-faults: memory and disk that fail, some 10,000 points: about 10 minutes (POINTS)"
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS) $(FAULT_TESTS)
	@$(MAKE) -s check-faults
# What CI has no time for: each end-to-end test under the thread sanitizer, the random walks, the faults, a soak, and the
# analyzers of both compilers.
nightly: deps
	@echo "nightly: 20,000 walks, faults, a soak, the page in all looks, end-to-end tests under the thread sanitizer: about two hours"
	$(MAKE) -j$(JOBS) walk
	$(MAKE) -j$(JOBS) $(PROGRAMS) $(E2E)
	POINTS=20000 $(MAKE) check-faults
	SOAK=$(or $(SOAK),200) $(BUILD)/tests/e2e/test_soak
	KEYS=$(or $(KEYS),600) $(BUILD)/tests/e2e/test_bench_keys
	tools/analyze.sh
	$(MAKE) test-page ALL=1
	TSAN_OPTIONS=halt_on_error=1:exitcode=66 $(MAKE) -j$(JOBS) check-e2e BUILD=$(BUILD)/threads SANITIZE=thread
analyze: deps
	$(MAKE) -j$(JOBS) $(PROGRAMS)
	BUILD=$(BUILD) tools/analyze.sh
test-vm: deps
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS)
	@tests/vm/vm.sh $(BUILD)
test-page:
	@tools/deps.sh page
	@echo "test-page: the page in a browser, about a minute and a half"
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS)
	@tests/page/run.sh $(BUILD) $(if $(ALL),all)
fuzz:
	@tools/deps.sh fuzz
	@$(MAKE) -s -j$(JOBS) $(BUILD)/libtext.a
	@tests/fuzz/run.sh $(BUILD)
coverage: $(WORDS)
	@tools/deps.sh fuzz
	@tests/coverage.sh $(BUILD)
valgrind:
	@tools/deps.sh valgrind
	@$(MAKE) -j$(JOBS) check-valgrind
check-valgrind: $(UNIT)
	tests/run.sh $(BUILD) valgrind $(UNIT)
BENCH_TOOLS := $(patsubst %.c,$(BUILD)/%,$(filter-out %/bench_store.c,$(wildcard tests/bench/*.c)))
# A store of so many batches: `make bench-store BATCHES=1000000`; with FOLDER=DIR it stays there, to be asked again.
BATCHES = 20000
bench-store: deps
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS) $(BUILD)/tests/bench/bench_store $(BUILD)/tests/bench/questions $(BUILD)/tests/bench/bare_open
	@tests/bench/bench_store.sh $(BUILD) $(BATCHES) $(if $(BATCHES),$(FOLDER))
$(BUILD)/tests/bench/bench_store: tests/bench/bench_store.c tests/bench/world.h $(call archives,$(LIBS_poised))
	@mkdir -p $(@D)
	@$(CC) $(ALLFLAGS) $(LDALL) -o $@ $< $(call archives,$(LIBS_poised)) $(call libs,$(PKGS_poised))
$(BUILD)/tests/bench/%: tests/bench/%.c $(wildcard tests/bench/*.h)
	@mkdir -p $(@D)
	@$(CC) $(ALLFLAGS) $(LDALL) -o $@ $< $(call libs,libuv jansson sqlite3 zlib)
$(BUILD)/bench-tools: $(BENCH_TOOLS)
	@touch $@

# ---- installing: all that `make uninstall` takes away again ----
BIN   = $(DESTDIR)$(PREFIX)/bin
SHARE = $(DESTDIR)$(PREFIX)/share/poise
DOC   = $(DESTDIR)$(PREFIX)/share/doc/poise
MAN   = $(DESTDIR)$(PREFIX)/share/man/man1
SHELL_WORDS = $(DESTDIR)$(PREFIX)/share/bash-completion/completions
UNITS = $(DESTDIR)$(PREFIX)/lib/systemd/system
USER_UNITS = $(DESTDIR)$(PREFIX)/lib/systemd/user
DOCS := README.md CHANGELOG.md LICENSE $(wildcard docs/*.md docs/*.ini)
PLACES = $(BIN) $(SHARE)/formulas $(SHARE)/profiles $(SHARE)/words $(DOC)/pictures $(MAN) $(SHELL_WORDS) $(UNITS) $(USER_UNITS)
install: $(PROGRAMS)
	$(INSTALL) -d $(PLACES)
	$(INSTALL) -m 755 $(PROGRAMS) $(BIN)
	$(INSTALL) -m 644 $(wildcard formulas/*.ini) $(SHARE)/formulas
	$(INSTALL) -m 644 $(wildcard drivers/profiles/*) $(SHARE)/profiles
	$(INSTALL) -m 644 $(BUILD)/words/en.json $(BUILD)/words/de.json $(SHARE)/words
	$(INSTALL) -m 644 $(DOCS) $(DOC)
	$(INSTALL) -m 644 $(wildcard docs/pictures/*) $(DOC)/pictures
	$(BUILD)/poise man >$(MAN)/poise.1
	$(BUILD)/poise completion >$(SHELL_WORDS)/poise
	sed 's|/usr/local/bin|$(PREFIX)/bin|' docs/poised.service >$(UNITS)/poised.service
	$(INSTALL) -m 644 docs/poise-kiosk.service $(USER_UNITS)
# In a DESTDIR the folders that are empty now go as well; on a real machine they are the system's.
uninstall:
	rm -f $(addprefix $(BIN)/,$(notdir $(PROGRAMS))) $(MAN)/poise.1 $(SHELL_WORDS)/poise $(UNITS)/poised.service \
	    $(USER_UNITS)/poise-kiosk.service
	rm -rf $(SHARE) $(DOC)
	$(if $(DESTDIR),rmdir -p --ignore-fail-on-non-empty $(filter-out $(SHARE)% $(DOC)%,$(PLACES)) $(dir $(SHARE)) $(dir $(DOC)) 2>/dev/null || true)
# docs/protocol.md between its marks, of the tables that calls are checked with; test_protocol fails where it is old.
papers: $(BUILD)/tests/unit/rpc/test_protocol
	$< --write docs/protocol.md
clean:
	rm -rf $(BUILD)
help:
	@echo 'make            build/poised, build/poise, build/poise-sim, build/poise-label, build/poise-solve'
	@echo 'make demo       the main job, poured by a simulated hand'
	@echo 'make run        the same bench, poured by you at the keyboard'
	@echo 'make test       unit and end-to-end tests, then both again under sanitizers'
	@echo 'make check      the same once, without sanitizers; check-unit and check-e2e are its halves'
	@echo 'make walk       20,000 random walks over the acts of a station, 2,000 over the days of a shop'
	@echo 'make test-faults  memory and disk that fail at each call in turn (POINTS)'
	@echo 'make nightly    what CI has no time for: walks, faults, a soak (SOAK), the page in all looks, end-to-end tests under the thread sanitizer'
	@echo 'make analyze    the analyzers of gcc and clang over the product, some minutes'
	@echo 'make papers     docs/protocol.md, of the tables of methods'
	@echo 'make lint       format, static checks, warnings as errors, arrows, words, shell scripts'
	@echo 'make bench      speed, as ratios   make valgrind   unit tests under valgrind'
	@echo 'make bench-store [BATCHES=N]  a store of N batches: its size, its finds, its start'
	@echo 'make test-vm    pours on real serial drivers in a virtual machine'
	@echo 'make test-page  pours through the page in a real browser (ALL=1: each size, paper and language)'
	@echo 'make fuzz       frames and profiles against rubbish (FUZZ_SECONDS)   make coverage   what the decoder tests reach'
	@echo 'make install    into PREFIX ($(PREFIX))   make uninstall   make clean'
.PHONY: walk analyze test-faults check-faults nightly papers all check check-build check-unit check-e2e check-valgrind test test-vm test-page deps demo run lint bench bench-store valgrind fuzz \
        coverage install uninstall clean help
ifneq ($(filter-out $(SPEAKING),$(or $(MAKECMDGOALS),all)),)
-include $(wildcard $(OBJECTS:.o=.d))
endif
