// Files chosen in an ordinary file input or dropped anywhere on the page; folders are looked into. They are sent to
// the program on this machine in one piece of mail.

const MOST_IN_FOLDERS = 200;

async function filesOf(entry, found) {
  if (found.length >= MOST_IN_FOLDERS) return;
  if (entry.isFile) {
    found.push(await new Promise((done, failed) => entry.file(done, failed)));
    return;
  }
  const reader = entry.createReader();
  for (;;) {
    const some = await new Promise((done, failed) => reader.readEntries(done, failed));
    if (!some.length) return;
    for (const one of some) await filesOf(one, found);
  }
}

export default {
  template: `<input ref="input" type="file" multiple @change="chosen">`,
  props: { address: String, mostBytes: Number, mostFiles: Number },
  mounted() {
    this.around = this.$el.closest(".where") || this.$el.parentElement;
    // anywhere on the page: a file that is dropped beside the map would otherwise be opened in its place
    for (const [event, told] of this.events()) document.addEventListener(event, told);
  },
  unmounted() {
    for (const [event, told] of this.events()) document.removeEventListener(event, told);
  },
  methods: {
    events() {
      return [["dragover", this.over], ["dragleave", this.left], ["drop", this.dropped]];
    },
    over(e) {
      if (!e.dataTransfer?.types.includes("Files")) return;
      e.preventDefault();
      this.around.classList.add("where-over");
    },
    left(e) {
      if (!e.relatedTarget) this.around.classList.remove("where-over");
    },
    async dropped(e) {
      this.around.classList.remove("where-over");
      if (!e.dataTransfer?.files.length) return;
      e.preventDefault();
      const entries = [...e.dataTransfer.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
      let found = [...e.dataTransfer.files];
      if (entries.some((entry) => entry.isDirectory)) {
        found = [];
        for (const entry of entries) await filesOf(entry, found);
      }
      await this.send(found);
    },
    async chosen() {
      await this.send([...this.$refs.input.files]);
      this.$refs.input.value = "";
    },
    async send(files) {
      if (!files.length) return;
      if (files.length > this.mostFiles) return this.$emit("refused", { why: "many" });
      if (files.reduce((sum, file) => sum + file.size, 0) > this.mostBytes) return this.$emit("refused", { why: "large" });
      this.$emit("sending", { n: files.length });
      const mail = new FormData();
      for (const file of files) mail.append("file", file, file.name);
      try {
        const answer = await fetch(window.path_prefix + this.address, { method: "POST", body: mail });
        if (!answer.ok) this.$emit("refused", { why: answer.status === 413 ? "large" : "gone" });
      } catch {
        this.$emit("refused", { why: "gone" });
      }
    },
  },
};
