# Poise: `make demo` shows the main job with nothing attached, `make test` proves it. Both install what they need.
# `make help` lists the rest. BUILD names the build folder, CC the compiler, SANITIZE the sanitizers (address,undefined).

VERSION   := 0.1.0
BUILD     ?= build
PREFIX    ?= /usr/local
SANITIZE  ?=
JOBS      ?= $(shell nproc)
WARN      := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion -Werror
ALLFLAGS   = -std=c17 -D_GNU_SOURCE -DPOISE_VERSION='"$(VERSION)"' -Idaemon -I. $(WARN) -O2 -g -fno-omit-frame-pointer -fno-plt \
             -fstack-protector-strong -MMD -MP $(if $(SANITIZE),-fsanitize=$(SANITIZE) -fno-sanitize-recover=all,-D_FORTIFY_SOURCE=2) $(CFLAGS)
LDALL      = $(if $(SANITIZE),-fsanitize=$(SANITIZE),) -Wl,-z,relro,-z,now -pthread $(LDFLAGS)

# ---- the parts: one archive a folder; what each may link is what it may include (tools/arrows.sh checks) ----
SRC_mix       := $(wildcard daemon/mix/*.c)
SRC_station   := $(wildcard daemon/station/*.c)
SRC_store     := $(wildcard daemon/store/*.c)
SRC_catalogue := $(wildcard daemon/catalogue/*.c)
SRC_bench     := $(wildcard daemon/bench/*.c)
SRC_rpc       := $(wildcard daemon/rpc/*.c daemon/rpc/methods/*.c)
SRC_print     := $(wildcard daemon/print/*.c)
SRC_draw      := $(filter-out %/main.c,$(wildcard daemon/print/draw/*.c))
SRC_base      := $(filter-out daemon/main.c,$(wildcard daemon/*.c))
SRC_decode    := $(wildcard drivers/decode/*.c)
SRC_drivers   := $(wildcard drivers/*.c)
SRC_sim       := $(filter-out %/main.c,$(wildcard drivers/sim/*.c))
SRC_client    := $(filter-out client/poise.c,$(wildcard client/*.c client/screen/*.c))
SRC_text      := $(wildcard text/*.c)
PARTS := text mix station store catalogue bench rpc print draw base decode drivers sim client

LIB_poised  := rpc bench station store catalogue print drivers decode mix base text
LIB_poise   := client drivers decode text
LIB_sim     := sim text
LIB_label   := draw text
SYS_poised  := -luv -ljansson -lsqlite3 -lsodium -lserialport -linih -lunistring -lm
SYS_poise   := -ljansson -lncursesw -ltinfo -luv -lserialport -linih -lunistring -lm
SYS_sim     := -ljansson -lunistring -lm
SYS_label   := $(shell pkg-config --libs cairo libqrencode jansson 2>/dev/null) -lunistring -lm
CFLAGS_draw := $(shell pkg-config --cflags cairo libqrencode 2>/dev/null)

# What the unit tests of an area link (archives | system libraries).
NEEDS_text      := text                                      | -ljansson -lunistring -lm
NEEDS_mix       := mix text                                       | -ljansson -lunistring -lm
NEEDS_station   := station mix base text                          | -luv -ljansson -linih -lunistring -lm
NEEDS_store     := store base text                                | -luv -ljansson -lsqlite3 -lsodium -linih -lunistring -lm
NEEDS_catalogue := catalogue station store mix base drivers text      | -luv -ljansson -lsqlite3 -lsodium -linih -lunistring -lm
NEEDS_bench     := bench station catalogue store mix drivers decode base text | $(SYS_poised)
NEEDS_rpc       := $(LIB_poised)                             | $(SYS_poised)
NEEDS_print     := print base text                                | -luv -ljansson -linih -lunistring -lm
NEEDS_draw      := draw text                                      | $(SYS_label)
NEEDS_base      := base drivers text                              | -luv -ljansson -linih -lunistring -lm
NEEDS_drivers   := drivers decode text                            | -luv -lserialport -linih -ljansson -lunistring -lm
NEEDS_sim       := sim text                                       |  -ljansson -lunistring -lm
NEEDS_client    := client drivers decode text                            | $(SYS_poise)

archive = $(BUILD)/lib$(1).a
objects = $(patsubst %.c,$(BUILD)/o/%.o,$(1))
before  = $(firstword $(subst |, ,$(1)))

PROGRAMS := $(BUILD)/poised $(BUILD)/poise $(BUILD)/poise-sim $(BUILD)/poise-label
all: $(PROGRAMS)

$(BUILD)/o/%.o: %.c
	@mkdir -p $(@D)
	@echo '  CC   $<'
	@$(CC) $(ALLFLAGS) $(if $(findstring daemon/print/draw,$<),$(CFLAGS_draw)) $(if $(findstring tests/unit/draw,$<),$(CFLAGS_draw)) -c -o $@ $<

# ---- the table of words: words/*.po to one JSON a language, and the same as a const table ----
WORDS := $(BUILD)/words/words_table.c
$(BUILD)/words/make-words: tools/words.c
	@mkdir -p $(@D)
	@$(CC) -std=c17 -D_GNU_SOURCE $(WARN) -O1 -o $@ $< -lgettextpo -ljansson
$(WORDS): words/en.po words/de.po $(BUILD)/words/make-words
	@echo '  PO   words/en.po words/de.po'
	@$(BUILD)/words/make-words $(BUILD)/words words/en.po words/de.po
$(BUILD)/o/words_table.o: $(WORDS)
	@mkdir -p $(@D)
	@$(CC) $(ALLFLAGS) -c -o $@ $<

define part
$(call archive,$(1)): $(call objects,$(SRC_$(1))) $(if $(filter text,$(1)),$(BUILD)/o/words_table.o)
	@rm -f $$@
	@ar rcs $$@ $$^
OBJECTS += $(call objects,$(SRC_$(1)))
endef
$(foreach p,$(PARTS),$(eval $(call part,$(p))))

define program
$(BUILD)/$(1): $(call objects,$(2)) $(foreach l,$(3),$(call archive,$(l)))
	@echo '  LINK $$@'
	@$$(CC) $$(LDALL) -o $$@ $(call objects,$(2)) -Wl,--start-group $(foreach l,$(3),$(call archive,$(l))) -Wl,--end-group $(4)
OBJECTS += $(call objects,$(2))
endef
$(eval $(call program,poised,daemon/main.c,$(LIB_poised),$(SYS_poised)))
$(eval $(call program,poise,client/poise.c,$(LIB_poise),$(SYS_poise)))
$(eval $(call program,poise-sim,drivers/sim/main.c,$(LIB_sim),$(SYS_sim)))
$(eval $(call program,poise-label,daemon/print/draw/main.c,$(LIB_label),$(SYS_label)))

# ---- tests: tests/unit/AREA/test_NAME.c, tests/e2e/test_NAME.c ----
UNIT := $(patsubst %.c,$(BUILD)/%,$(wildcard tests/unit/*/test_*.c))
E2E  := $(patsubst %.c,$(BUILD)/%,$(wildcard tests/e2e/test_*.c))
E2E_HELP := $(call objects,$(filter-out tests/e2e/test_%,$(wildcard tests/e2e/*.c)))
area_of   = $(word 3,$(subst /, ,$(1)))
libs_of   = $(foreach l,$(shell echo '$(NEEDS_$(1))' | sed 's/|.*//'),$(call archive,$(l)))
sys_of    = $(shell echo '$(NEEDS_$(1))' | sed 's/.*|//')

define unit
$(BUILD)/$(basename $(1)): $(call objects,$(1)) $(call libs_of,$(call area_of,$(1)))
	@mkdir -p $$(@D)
	@echo '  LINK $$@'
	@$$(CC) $$(LDALL) -o $$@ $$< -Wl,--start-group $(call libs_of,$(call area_of,$(1))) -Wl,--end-group $(call sys_of,$(call area_of,$(1))) -lcmocka
OBJECTS += $(call objects,$(1))
endef
$(foreach t,$(wildcard tests/unit/*/test_*.c),$(eval $(call unit,$(t))))

$(BUILD)/tests/e2e/%: $(BUILD)/o/tests/e2e/%.o $(E2E_HELP)
	@mkdir -p $(@D)
	@echo '  LINK $@'
	@$(CC) $(LDALL) -o $@ $^ -ljansson -lcmocka -lutil -lm
OBJECTS += $(patsubst %.c,$(BUILD)/o/%.o,$(wildcard tests/e2e/*.c))
.SECONDARY: $(OBJECTS)

# Builds every test and runs none.
check-build: $(PROGRAMS) $(UNIT) $(E2E)
check-unit: $(UNIT)
	tests/run.sh $(BUILD) unit $(UNIT)
check-e2e: $(PROGRAMS) $(E2E)
	tests/run.sh $(BUILD) e2e $(E2E)
check: $(PROGRAMS) $(UNIT) $(E2E)
	tests/run.sh $(BUILD) all $(UNIT) $(E2E)

test: deps
	$(MAKE) -j$(JOBS) check
	$(MAKE) -j$(JOBS) check BUILD=$(BUILD)/sanitized SANITIZE=address,undefined

deps:
	@tools/deps.sh
demo: deps
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS)
	@demo/demo.sh $(BUILD)
run: deps
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS)
	@demo/run.sh $(BUILD)
lint: deps
	@tools/lint.sh
bench: deps
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS) $(BUILD)/bench-tools
	@tests/bench/bench.sh $(BUILD)
test-vm: deps
	@$(MAKE) -s -j$(JOBS) $(PROGRAMS)
	@tests/vm/vm.sh $(BUILD)
fuzz:
	@tools/deps.sh fuzz
	@tests/fuzz/run.sh $(BUILD)
coverage:
	@tools/deps.sh fuzz
	@tests/coverage.sh $(BUILD)
valgrind:
	@tools/deps.sh valgrind
	$(MAKE) -j$(JOBS) $(UNIT)
	tests/run.sh $(BUILD) valgrind $(UNIT)
BENCH_TOOLS := $(patsubst %.c,$(BUILD)/%,$(wildcard tests/bench/*.c))
$(BUILD)/tests/bench/%: tests/bench/%.c $(wildcard tests/bench/*.h)
	@mkdir -p $(@D)
	$(CC) $(ALLFLAGS) $(LDALL) -o $@ $< -luv -ljansson -lsqlite3 -lm
$(BUILD)/bench-tools: $(BENCH_TOOLS)
	@touch $@

install: $(PROGRAMS)
	install -d $(DESTDIR)$(PREFIX)/bin $(DESTDIR)$(PREFIX)/share/poise
	install -m 755 $(PROGRAMS) $(DESTDIR)$(PREFIX)/bin
	cp -r formulas $(DESTDIR)$(PREFIX)/share/poise/
clean:
	rm -rf $(BUILD)
help:
	@echo 'make            build/poised, build/poise, build/poise-sim, build/poise-label'
	@echo 'make demo       the main job, poured by a simulated hand'
	@echo 'make run        the same bench, poured by you at the keyboard'
	@echo 'make test       unit and end-to-end tests, then both again under sanitizers'
	@echo 'make lint       format, static checks, arrows, shell scripts'
	@echo 'make bench      speed, as ratios   make valgrind   unit tests under valgrind'
	@echo 'make test-vm    pours on real serial drivers in a virtual machine'
	@echo 'make fuzz       frames and profiles against rubbish (FUZZ_SECONDS)   make coverage   what the decoder tests reach'
	@echo 'make install    into PREFIX ($(PREFIX))   make clean'
.PHONY: all check check-build check-unit check-e2e test test-vm deps demo run lint bench valgrind fuzz coverage install clean help
-include $(OBJECTS:.o=.d)
