// Undo and redo by button, or by the keys that everybody knows.
const OWN_UNDO = "textarea, input:not([type=checkbox], [type=radio], [type=range], [type=file], [type=date])";

export default {
  template: `<div class="steps" role="group" aria-label="Steps">
    <button type="button" title="Ctrl+Z" aria-keyshortcuts="Control+Z" :aria-disabled="!undoes" @click="undoes && $emit('undo')">Undo</button>
    <button type="button" title="Ctrl+Shift+Z" aria-keyshortcuts="Control+Shift+Z Control+Y" :aria-disabled="!redoes" @click="redoes && $emit('redo')">Redo</button>
  </div>`,
  props: { undoes: Boolean, redoes: Boolean },
  mounted() {
    document.addEventListener("keydown", this.pressed);
  },
  unmounted() {
    document.removeEventListener("keydown", this.pressed);
  },
  methods: {
    pressed(e) {
      if (!(e.ctrlKey || e.metaKey) || e.altKey || e.target.closest?.(OWN_UNDO)) return;
      const key = e.key.toLowerCase();
      if (key !== "z" && key !== "y") return;
      e.preventDefault();
      this.$emit(key === "y" || e.shiftKey ? "redo" : "undo");
    },
  },
};
