/** Where an arrow key leads on the map. */
import { neededBy, openedBy, type Graph, type Node } from './graph'

/** The key of the card that is reached; the same card where there is none that way. */
export function reached(graph: Graph, from: string, key: string): string | null {
  const at = graph.nodes.get(from)
  if (!at) return null
  switch (key) {
    case 'ArrowDown':
      return nearest(at, neededBy(graph, from)).key
    case 'ArrowUp':
      return nearest(at, openedBy(graph, from)).key
    case 'ArrowLeft':
      return beside(graph, at, -1).key
    case 'ArrowRight':
      return beside(graph, at, 1).key
    default:
      return null
  }
}

/** The fewest layers away, then the fewest cells to the side. */
function nearest(at: Node, others: readonly Node[]): Node {
  const far = (one: Node) => [Math.abs(one.layer - at.layer), Math.abs(one.x - at.x)] as const
  return (
    [...others].sort((one, other) => {
      const [here, there] = [far(one), far(other)]
      return here[0] - there[0] || here[1] - there[1]
    })[0] ?? at
  )
}

function beside(graph: Graph, at: Node, step: 1 | -1): Node {
  const layer = graph.cards.filter((one) => one.layer === at.layer)
  return layer[layer.indexOf(at) + step] ?? at
}
