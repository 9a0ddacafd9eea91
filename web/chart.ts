/** The one chart library, in a chunk of its own: the first screen must not wait for it. */
import uPlot from 'uplot';
import look from 'uplot/dist/uPlot.min.css?inline';

export { look, uPlot };
