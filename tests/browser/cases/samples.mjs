// The sample documents themselves: a test on a document that does not add up would prove nothing.
import { check, test } from "../harness.mjs";
import { samples } from "../sample/samples.mjs";

const close = (a, b, what) => check(Math.abs(a - b) <= 1e-6 * Math.max(1, Math.abs(a), Math.abs(b)), `${what}: ${a} against ${b}`);

test("samples: offered = qualifying + rejected, rejected = sum of causes", ({ plans }) => {
  for (const plan of Object.values(plans)) for (const r of plan.regions) {
    close(r.offered_t.mean, r.qualifying_t.mean + r.rejected_t.mean, r.region);
    close(r.rejected_t.mean, Object.values(r.rejected_by_cause_t).reduce((a, b) => a + b, 0), r.region);
  }
});

test("samples: use + unmet = need by month and line, chances add to 1", ({ plans }) => {
  for (const plan of Object.values(plans)) {
    for (const m of plan.months) close(m.need_t, m.unmet_t.mean + m.blend.reduce((a, b) => a + b.t_equiv.mean, 0), `${m.month} ${m.line}`);
    const { never, ...months } = plan.cover.first_unmet_month;
    close(1, never + Object.values(months).reduce((a, b) => a + b, 0), "chances");
  }
});

test("samples: the same seed gives the same documents", ({ plans }) => check(JSON.stringify(samples()) === JSON.stringify(plans), "two makings differ"));
